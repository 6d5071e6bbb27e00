"""Forms of permits: what of the list to show."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from records.firm.models import Person, Site
from records.forms import laid_out

STATES = {"prepared": "prepared, nobody has signed", "issued": "issued, not accepted", "accepted": "issued and accepted"}
VERDICTS = {"clear": "no block", "blocked": "not to dig"}
SORTS = {"": "today first", "permit": "permit", "site": "site", "begins": "begins soonest", "ends": "ends soonest", "latest": "begins latest"}


def offered(words: dict[str, str], blank: str) -> list[tuple[str, str]]:
    return [("", blank), *words.items()]


class ShowForm(forms.Form):
    """Which permits to show, and in which order. Sent by GET, so that the address can be kept and shared."""

    search = forms.CharField(label="Find", required=False, max_length=200, widget=forms.TextInput(attrs={"type": "search"}))
    site = forms.ModelChoiceField(label="Site", queryset=Site.objects.none(), required=False, empty_label="every site")
    state = forms.ChoiceField(label="Signatures", choices=offered(STATES, "any"), required=False)
    verdict = forms.ChoiceField(label="Verdict", choices=offered(VERDICTS, "any"), required=False, help_text="Of permits whose time is not over.")
    sort = forms.ChoiceField(label="Order", choices=list(SORTS.items()), required=False)

    def __init__(self, sites: QuerySet[Site], **given: Any) -> None:
        super().__init__(**given)
        self.fields["site"].queryset = sites
        self.fields["site"].label_from_instance = lambda site: site.name
        self.fields["search"].help_text = "Permit, work, site, locate or a person’s name."
        self.helper = laid_out()

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return self.cleaned_data

    def narrowed(self) -> bool:
        return any(value for name, value in self.chosen().items() if name != "sort")


class SignForm(forms.Form):
    """The password again: with the open session it shows who signs."""

    password = forms.CharField(label="Your password", strip=False, max_length=4096, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}))

    def __init__(self, person: Person, **given: Any) -> None:
        super().__init__(**given)
        self.person = person
        self.helper = laid_out()

    def clean_password(self) -> str:
        if not self.person.check_password(self.cleaned_data["password"]):
            raise ValidationError("That is not your password. Nothing was signed.")
        return ""
