"""What is told ahead, as a form: the firm's days line by line, and of these the ones that a reader wants."""

from typing import Any

from crispy_forms.bootstrap import InlineCheckboxes
from crispy_forms.layout import Fieldset, Layout
from django import forms

from locates.watch.facts import Days
from locates.watch.rules.arrangement import AWARDS, INSTRUMENTS, LINES, NEVER_LESS, OF, OWN, READERS, SAYS, Arrangement, Line, days_says, lines_of, read_days
from records.forms import laid_out
from records.rules.text import Unfit
from records.rules.words import SAFETY_MANAGER


def _name(line: Line) -> str:
    return "-".join(line)


def _label(line: Line) -> str:
    """What a line is of, under the heading that says to whom it is told."""
    return "All instruments in service" if line == (INSTRUMENTS, SAFETY_MANAGER) else OF[line[0]]


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
            told = "7 and 1 always stay." if line == (AWARDS, OWN) else ""
            self.fields[_name(line)] = DaysField(label=_label(line), required=False, max_length=60, help_text=told)
        self.helper = laid_out()
        groups = [Fieldset(READERS[reader], *(_name(line) for line in LINES if line[1] == reader)) for reader in READERS]
        self.helper.layout = Layout(*groups, Fieldset("When", "hour"))

    def arrangement(self) -> Arrangement:
        return Arrangement(self.cleaned_data["hour"], {line: self.cleaned_data[_name(line)] for line in LINES})


class ChoiceForm(forms.Form):
    """Of the days that the firm arranged for a reader, those that they want. Where there is nothing to choose, nothing is asked."""

    def __init__(self, roles: tuple[str, ...], now: Arrangement, chosen: Days, **given: Any) -> None:
        self.lines = {line: some for line in lines_of(roles) if (some := _open(line, now.of(line)))}
        super().__init__(initial={_name(line): list(map(str, now.less(line, chosen))) for line in self.lines}, **given)
        for line, some in self.lines.items():
            self.fields[_name(line)] = _days_field(line, some)
        self.helper = laid_out()
        self.helper.layout = Layout(*(InlineCheckboxes(_name(line)) for line in self.lines))

    def days(self) -> Days:
        return {line: tuple(map(int, self.cleaned_data[_name(line)])) for line in self.lines}


def _open(line: Line, days: tuple[int, ...]) -> tuple[int, ...]:
    """Those that somebody can do without."""
    return tuple(one for one in days if line != (AWARDS, OWN) or one not in NEVER_LESS)


def _days_field(line: Line, days: tuple[int, ...]) -> forms.MultipleChoiceField:
    says = [(str(one), f"{one} day{'' if one == 1 else 's'} ahead") for one in days]
    told = f"{' and '.join(map(str, NEVER_LESS))} days ahead you are told in any case." if line == (AWARDS, OWN) else ""
    return forms.MultipleChoiceField(label=SAYS[line], choices=says, required=False, widget=forms.CheckboxSelectMultiple, help_text=told)
