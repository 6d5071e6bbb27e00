"""What is told ahead, as a form: the firm's days line by line, and of these the ones that a reader wants."""

from typing import Any

from django import forms

from locates.watch.facts import Days
from locates.watch.rules.arrangement import AWARDS, LINES, NEVER_LESS, OWN, SAYS, Arrangement, Line, days_says, lines_of, read_days
from records.forms import laid_out
from records.rules.text import Unfit


def _name(line: Line) -> str:
    return "-".join(line)


class DaysField(forms.CharField):
    """Days ahead, with commas between."""

    def clean(self, value: Any) -> tuple[int, ...]:
        try:
            return read_days(super().clean(value))
        except Unfit as fault:
            raise forms.ValidationError(str(fault)) from fault


class ArrangementForm(forms.Form):
    """From which hour on letters go, and the days ahead of every line."""

    hour = forms.IntegerField(
        label="Not before this hour of the reader’s day", min_value=0, max_value=23, help_text="0 to 23, by the clocks of the site that they are posted to."
    )

    def __init__(self, now: Arrangement, **given: Any) -> None:
        super().__init__(initial={"hour": now.hour, **{_name(line): days_says(now.of(line)) for line in LINES}}, **given)
        for line in LINES:
            told = "The days 7 and 1 always stay." if line == (AWARDS, OWN) else ""
            self.fields[_name(line)] = DaysField(label=SAYS[line], required=False, max_length=60, help_text=told)
        self.helper = laid_out()

    def arrangement(self) -> Arrangement:
        return Arrangement(self.cleaned_data["hour"], {line: self.cleaned_data[_name(line)] for line in LINES})


class ChoiceForm(forms.Form):
    """Of the days that the firm arranged for a reader, those that they want; of lines that the firm leaves out there is nothing to choose."""

    def __init__(self, roles: tuple[str, ...], now: Arrangement, chosen: Days, **given: Any) -> None:
        self.lines = [line for line in lines_of(roles) if now.of(line)]
        super().__init__(initial={_name(line): list(map(str, now.less(line, chosen))) for line in self.lines}, **given)
        for line in self.lines:
            self.fields[_name(line)] = _days_field(line, now.of(line))
        self.helper = laid_out()

    def days(self) -> Days:
        return {line: tuple(map(int, self.cleaned_data[_name(line)])) for line in self.lines}


def _days_field(line: Line, days: tuple[int, ...]) -> forms.MultipleChoiceField:
    says = [(str(one), f"{one} day{'' if one == 1 else 's'} ahead") for one in days]
    told = f"You are told {' and '.join(map(str, NEVER_LESS))} days ahead in any case." if line == (AWARDS, OWN) else ""
    return forms.MultipleChoiceField(label=SAYS[line], choices=says, required=False, widget=forms.CheckboxSelectMultiple, help_text=told)
