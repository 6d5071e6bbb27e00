"""What a dig's diary asks: each form is short, for it is filled in at the dig."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from locates.lookovers.rules.words import CHANGE, EVENTS, EVENTS_SAY, KINDS, KINDS_SAY, WITH_OWNERS, WRONG_SAYS
from records.books.fields import PlaceWidget
from records.forms import laid_out
from records.rules.columns import FIRST_DAY, LAST_DAY
from records.rules.wkt import FARTHEST_M
from records.rules.words import TECHNIQUES, UTILITIES, spoken

LONGEST = 1000
CHANGED = "More is looked at here since this page was opened. Open it again, look the rest over too, and tap then."
NOTHING, SOMETHING = "nothing", "something"
ANY = ("", "any")
ON_NO_PLAN = "on no plan"  # no trace can be named so: what it says must be chosen, or an unknown service would pass as the first that is listed
IN_THE_GRID = {"min_value": -FARTHEST_M, "max_value": FARTHEST_M, "max_digits": 12}
WITHIN = [MinValueValidator(FIRST_DAY), MaxValueValidator(LAST_DAY)]


def words(label: str, help_text: str = "", *, required: bool = True) -> forms.CharField:
    return forms.CharField(label=label, help_text=help_text, required=required, max_length=LONGEST, widget=forms.Textarea(attrs={"rows": 2}))


class Seen(forms.Form):
    """How many rows the page showed that this comes from: handed in twice by one page, it is one row."""

    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()


class PointsForm(Seen):
    """A look-over. `points`: what is looked at as the permit stands now; `shown`: what the page asked that it comes from, for that is what is declared."""

    def __init__(self, points: Iterable[str], **given: Any) -> None:
        super().__init__(**given)
        self.points = tuple(points)
        told = str(self.data.get("shown", "")).split()
        self.shown = tuple(one for one in WITH_OWNERS if one in told)


class SoundForm(PointsForm):
    """All is as it should be: one tap."""

    def clean(self) -> dict[str, Any]:
        if not set(self.points) <= set(self.shown):
            raise forms.ValidationError(CHANGED)
        return super().clean()


class WrongForm(PointsForm):
    """What is not as it should be: the work is stopped with it."""

    wrong = forms.MultipleChoiceField(
        label="What is not so?",
        widget=forms.CheckboxSelectMultiple,
    )
    note = words("What you see", "Where, and what could come of it.")
    action = words("What you did about it")
    further = words("What is still to be done", required=False)

    def __init__(self, points: Iterable[str], **given: Any) -> None:
        super().__init__(points, **given)
        asked = [one for one in WITH_OWNERS if one in (*self.points, *self.shown)]  # whatever has changed since, the work is stopped
        self.fields["wrong"].choices = [(point, f"{WRONG_SAYS[point][0].upper()}{WRONG_SAYS[point][1:]}") for point in asked]


class EventForm(Seen):
    """What happened that makes a look-over owed again."""

    occasion = forms.ChoiceField(choices=[(one, EVENTS_SAY[one]) for one in EVENTS], widget=forms.HiddenInput)
    note = words("What happened", "A load driven over, water in the dig, a side come down, marks rubbed out.", required=False)

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if told.get("occasion") == CHANGE and not told.get("note"):
            self.add_error("note", "Say what happened.")
        return told


class FoundForm(Seen):
    """Was something found that is not on the plan? Nothing is ever chosen beforehand, and nothing says that ground is clear."""

    found = forms.ChoiceField(
        label="What came of it",
        choices=[(NOTHING, "Nothing new came up"), (SOMETHING, "Something that is not on the plan: stop the work")],
        widget=forms.RadioSelect,
    )
    note = words("Note", "What was found, and where.", required=False)

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if told.get("found") == SOMETHING and not told.get("note"):
            self.add_error("note", "Say what was found, and where.")
        return told


class SweepForm(FoundForm):
    """A sweep made again as the dig goes deeper."""

    techniques = forms.MultipleChoiceField(
        label="Modes used",
        choices=[(one, spoken(one).capitalize()) for one in TECHNIQUES],
        widget=forms.CheckboxSelectMultiple,
        help_text="Passive power and passive radio both, or it does not count.",
    )
    receiver = forms.ChoiceField(label="Receiver")
    place = words("Where", "Which part of the dig, or along which line.")
    depth_m = forms.DecimalField(label="The dig’s depth there now, metres", min_value=0, max_value=100, decimal_places=3, max_digits=6)
    field_order = ("techniques", "receiver", "place", "depth_m", "found", "note")

    def __init__(self, receivers: Iterable[tuple[str, str]], **given: Any) -> None:
        super().__init__(**given)
        self.fields["receiver"].choices = [("", "choose"), *receivers]


class ExposeForm(Seen):
    """A service exposed by hand, seen and measured."""

    trace = forms.ChoiceField(label="Which trace")
    utility = forms.ChoiceField(label="What it is", choices=[("", "choose"), *((one, spoken(one).capitalize()) for one in UTILITIES)])
    depth_m = forms.DecimalField(label="Depth to its centre, metres", min_value=0, max_value=100, decimal_places=3, max_digits=6)
    depth_m.help_text = "Measured with a tape from the surface to the centre, not to the top."
    width_m = forms.DecimalField(label="Width of the service, metres", required=False, min_value=0, max_value=100, decimal_places=3, max_digits=6)
    x = forms.DecimalField(label="East, metres", help_text="In the site’s metre grid.", decimal_places=3, **IN_THE_GRID)
    y = forms.DecimalField(label="North, metres", decimal_places=3, widget=PlaceWidget("id_x id_y", attrs={"inputmode": "decimal"}), **IN_THE_GRID)
    note = words("Note", "Material, state, what lies beside it.", required=False)

    def __init__(self, traces: Iterable[tuple[str, str]], **given: Any) -> None:
        super().__init__(**given)
        self.fields["trace"].choices = [("", "choose"), *traces, (ON_NO_PLAN, "None: it is not on the plan. Stop the work")]

    def clean_trace(self) -> str:
        """The trace that shows it, or nothing where none does."""
        chosen = str(self.cleaned_data["trace"])
        return "" if chosen == ON_NO_PLAN else chosen

    def say(self, problems: Iterable[Any]) -> None:
        """What is wrong with the hole, at its field."""
        for one in problems:
            self.add_error(one.column if one.column in self.fields else None, f"{one.says}.")


class SieveForm(forms.Form):
    """Which rows of all diaries. Sent by GET, so that the address can be kept and shared."""

    search = forms.CharField(label="Find", required=False, max_length=200)
    site = forms.ChoiceField(label="Site", required=False)
    kind = forms.ChoiceField(label="What", required=False, choices=[ANY, *((one, KINDS_SAY[one]) for one in KINDS)])
    show = forms.ChoiceField(label="Show", required=False, choices=[("", "all"), ("wrong", "something was wrong or found")])
    first = forms.DateField(label="From", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), validators=WITHIN)
    last = forms.DateField(label="Through", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), validators=WITHIN)

    def __init__(self, sites: Iterable[tuple[str, str]], **given: Any) -> None:
        super().__init__(**given)
        self.fields["site"].choices = [ANY, *sites]
        self.helper = laid_out()

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}

    def narrowed(self) -> bool:
        return bool(self.errors) or bool(self.chosen())
