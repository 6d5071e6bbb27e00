"""Which letters to show. Sent by GET, so that the address can be kept and shared."""

from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import Q, QuerySet

from records.forms import laid_out
from records.letters.facts import lost
from records.letters.models import Letter
from records.letters.rules import STATES
from records.rules.columns import FIRST_DAY, LAST_DAY
from records.rules.dates import day_start

ANY_LOST = "lost"
WITHIN = [MinValueValidator(FIRST_DAY), MaxValueValidator(LAST_DAY)]


class LettersForm(forms.Form):
    """Letters that stand so, to whom, about what."""

    state = forms.ChoiceField(label="How they stand", required=False)
    to = forms.CharField(label="To", required=False, max_length=200, help_text="An identifier, or part of a name.")
    about = forms.CharField(label="About", required=False, max_length=200, help_text="Words of the subject, such as a permit’s identifier.")

    since = forms.DateField(label="Posted since", required=False, widget=forms.DateInput(attrs={"type": "date"}), validators=WITHIN)

    def __init__(self, *, everyones: bool, **given: Any) -> None:
        super().__init__(**given)
        self.fields["state"].choices = [("", "anyhow"), (ANY_LOST, "may not have arrived"), *STATES.items()]
        if not everyones:
            del self.fields["to"]
        self.helper = laid_out()

    def narrow(self, rows: QuerySet[Letter], zone: ZoneInfo) -> QuerySet[Letter]:
        """The letters asked for, days being days in the zone; what of it cannot be understood is said at its field."""
        self.is_valid()
        asked = {name: value.replace("\0", "") if isinstance(value, str) else value for name, value in self.cleaned_data.items() if value}
        if since := asked.get("since"):
            rows = rows.filter(posted_at__gte=day_start(since, zone))
        if state := asked.get("state"):
            rows = lost(rows) if state == ANY_LOST else rows.filter(state=state)
        if to := asked.get("to"):
            rows = rows.filter(Q(person=to) | Q(person__name__icontains=to))
        return rows.filter(subject__icontains=asked["about"]) if asked.get("about") else rows

    def narrowed(self) -> bool:
        return bool(self.errors or any(self.cleaned_data.values()))
