"""What a step asks of whoever takes it: what it owes, and their password."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from locates.life.rules.acts import LEFT, TO, UNTIL, WHY, Act
from locates.permits.forms import SignForm
from records.books.fields import MomentField
from records.firm.models import Person
from records.forms import laid_out
from records.rules.columns import INSTANT
from records.rules.text import Unfit

MISSING = {
    WHY: "Say why.",
    LEFT: "Say in what state the work is left.",
    TO: "Choose somebody other than the issuer and the receiver.",
    UNTIL: "An extension ends later than the permit does.",
}


class UntilForm(forms.Form):
    """The new end, asked for before anything is judged. Sent by GET."""

    def __init__(self, ends: datetime, zone: ZoneInfo, **begun: Any) -> None:
        super().__init__(**begun)
        self.ends = ends
        self.fields["until"] = MomentField(zone, label="New end", help_text=f"By the clock of {zone.key}.")
        self.helper = laid_out()

    def clean_until(self) -> datetime:
        try:
            until = INSTANT.read(self.cleaned_data["until"])
        except Unfit as fault:
            raise ValidationError(f"{fault}.") from fault
        if until <= self.ends:
            raise ValidationError(MISSING[UNTIL])
        return until


class StepForm(SignForm):
    """What the act owes, then the password. `receivers`: who could take the permit over."""

    def __init__(self, person: Person, act: Act, receivers: list[tuple[str, str]], *, twofold: bool = False, **begun: Any) -> None:
        super().__init__(person, twofold=twofold, **begun)
        proving = self.fields
        self.fields = {}
        if WHY in act.owes:
            self.fields[WHY] = forms.CharField(label="Why", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))
        if TO in act.owes:
            self.fields[TO] = forms.ChoiceField(label="Who takes over", choices=[("", "choose"), *receivers])
            self.fields[TO].help_text = "Those who may receive permits here today. They sign for it themselves."
        if LEFT in act.owes:
            self.fields[LEFT] = forms.CharField(label="How the work is left", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
            self.fields[LEFT].help_text = "What is dug and how deep, what is exposed, how it is fenced, covered or propped."
        self.fields |= proving
        self.helper = laid_out()

    def say(self, names: tuple[str, ...]) -> None:
        """What is wanting, at its field."""
        for name in names:
            self.add_error(name if name in self.fields else None, MISSING[name])
