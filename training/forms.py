"""What of the matrix to show. Sent by GET, so that the address can be kept and shared."""

from datetime import date
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import QuerySet

from records.firm.models import Site
from records.forms import laid_out
from records.rules.columns import FIRST_DAY, LAST_DAY
from records.rules.words import CREW, ROLES, spoken

SORTS = {"": "by name", "gaps": "most gaps first", "lapse": "first to lapse first"}


class CoverForm(forms.Form):
    """Whose cover, as of which day, and in which order."""

    search = forms.CharField(label="Find", required=False, max_length=200, widget=forms.TextInput(attrs={"type": "search"}))
    site = forms.ChoiceField(label="Site", required=False)
    employer = forms.ChoiceField(label="Employer", required=False)
    role = forms.ChoiceField(label="Role", required=False, choices=[("", "any"), *((one, spoken(one)) for one in ROLES), (CREW, "crew, without a role")])
    gaps = forms.ChoiceField(label="Gaps", required=False, choices=[("", "all people"), ("yes", "only with a gap")])
    day = forms.DateField(
        label="As of",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        validators=[MinValueValidator(FIRST_DAY), MaxValueValidator(LAST_DAY)],
    )
    sort = forms.ChoiceField(label="Order", required=False, choices=list(SORTS.items()))

    def __init__(self, sites: QuerySet[Site], employers: list[str], today: date, **given: Any) -> None:
        super().__init__(**given)
        self.fields["site"].choices = [("", "every site"), *((one.pk, one.name) for one in sites)]
        self.fields["employer"].choices = [("", "any"), *((one, one) for one in employers)]
        self.fields["day"].help_text = "Left blank: today."
        self.helper = laid_out()

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return self.cleaned_data

    def narrowed(self) -> bool:
        return bool(self.errors) or any(value for name, value in self.chosen().items() if name not in ("sort", "day"))
