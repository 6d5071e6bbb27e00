"""The forms of the guided locate. What is right with a record, its register's own door says."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms

from locates.fieldwork.rules.wrongs import MARKS
from locates.permits.forms import SignForm
from records.books.fields import ManyField, ShapeField
from records.files.forms import whole
from records.files.rules.media import LARGEST, SAID
from records.forms import laid_out
from records.rules.columns import METRES
from records.rules.columns import NUMBER as NUMBER_READ
from records.rules.corners import listed
from records.rules.text import Unfit
from records.rules.trench import given as typed
from records.rules.words import INSTRUMENT_KINDS, METHODS, OUTCOMES, PASSIVE, QUALITY_LEVELS, TECHNIQUES, TRACE_TECHNIQUES, UTILITIES, spoken

Offered = Iterable[tuple[str, str]]
WHOLE, DRAWN = "whole", "drawn"
NUMBER = {"inputmode": "decimal", "autocomplete": "off"}
LEVELS = {"A": "A: exposed and seen", "B": "B: traced with a signal", "C": "C: traced without, or doubtful", "D": "D: from records alone"}
ACTIVELY = tuple(one for one in TECHNIQUES if one not in PASSIVE)


def said(words: Iterable[str]) -> list[tuple[str, str]]:
    return [(word, spoken(word)) for word in words]


def metres(label: str, help_text: str = "") -> forms.CharField:
    return forms.CharField(label=label, required=False, help_text=help_text, max_length=20, widget=forms.TextInput(attrs=NUMBER))


class PieceForm(forms.Form):
    """A form of the guide; several of one kind stand on its page, told apart by `place`."""

    def __init__(self, place: str = "", **given: Any) -> None:
        super().__init__(auto_id=f"id_{place}_%s" if place else "id_%s", **given)
        self.helper = laid_out()

    def say(self, problems: Iterable[Any]) -> None:
        """Put what is wrong at its field, and what is of no field here above them all."""
        for problem in problems:
            where = problem.column if problem.column in self.fields else None
            self.add_error(where, problem.says if where or not problem.column else f"{problem.column}: {problem.says}")


class KitForm(PieceForm):
    """What it is located with. `offered`: by kind, the instruments that may be picked."""

    def __init__(self, offered: dict[str, Offered], **given: Any) -> None:
        super().__init__(**given)
        for kind in INSTRUMENT_KINDS:
            owed = kind == "receiver"
            choices = [("", "choose" if owed else "none"), *offered.get(kind, ())]
            self.fields[kind] = forms.ChoiceField(label=kind.capitalize(), required=owed, choices=choices)


class BeginForm(KitForm):
    """A locate begins: for which dig, and with what."""

    sheet = forms.CharField(widget=forms.HiddenInput, max_length=40)

    def __init__(self, digs: Offered, **given: Any) -> None:
        super().__init__(**given)
        dig = forms.ChoiceField(label="For the dig of", required=False, choices=[("", "none that is prepared: I draw it myself"), *digs])
        dig.help_text = "Its outline, depth and method are taken over."
        self.fields = {"dig": dig, **self.fields}


class DigForm(PieceForm):
    """Where the dig will be. With a width, the points are along the middle of a trench."""

    outline = forms.CharField(label="Outline of the dig", widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}))
    outline.help_text = "Corners in the site’s metre grid, x and y, one a line."
    width = metres("Trench width, metres", "Then the points are along the middle of the trench.")
    depth_m = metres("Depth, metres")
    method = forms.ChoiceField(label="Method", required=False, choices=said(METHODS), widget=forms.RadioSelect)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name, read in (("width", self._width), ("outline", self._outline)):
            try:
                cleaned[name] = read(cleaned)
            except Unfit as fault:
                self.add_error(name, f"{fault}.")
        return cleaned

    def _width(self, cleaned: dict[str, Any]) -> Decimal | None:
        return METRES.read(cleaned["width"].strip()) if cleaned.get("width", "").strip() else None

    def _outline(self, cleaned: dict[str, Any]) -> str:
        return typed(cleaned.get("outline", ""), cleaned.get("width"))


class PlansForm(PieceForm):
    """Whose plans were at hand and looked at."""

    plans_seen = ManyField(label="Plans at hand and looked at", required=False)

    def __init__(self, offered: Offered, **given: Any) -> None:
        super().__init__(**given)
        self.fields["plans_seen"].choices = list(offered)


class SweepForm(PieceForm):
    """Ground swept by one technique. A passive one is walked twice, the second time across the first."""

    technique = forms.ChoiceField(label="Technique", choices=said(TECHNIQUES), widget=forms.HiddenInput)
    ground = forms.ChoiceField(label="Ground swept", choices=[(WHOLE, "all of the needed ground"), (DRAWN, "the ground drawn here")], widget=forms.RadioSelect)
    area = ShapeField(closed=True, label="Its corners", required=False, help_text="In the site’s metre grid, x and y, one a line.")
    bearing_deg = metres("Bearing walked, degrees", "From north. A sweep without one has no direction.")
    across_deg = metres("And across it, degrees", "Left blank: it was walked one way only.")
    spacing_m = metres("Between the lines walked, metres")
    transmitter_offset_m = metres("Begun so far from the transmitter, metres", "Owed for induction: nearer than the number in force does not count.")

    def __init__(self, passive: bool, **given: Any) -> None:
        super().__init__(**given)
        if passive:
            del self.fields["transmitter_offset_m"]
        else:
            del self.fields["across_deg"]
            self.fields["technique"] = forms.ChoiceField(label="Technique", choices=said(ACTIVELY))
            self.fields = {"technique": self.fields.pop("technique"), **self.fields}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("ground") == DRAWN and not cleaned.get("area") and "area" not in self.errors:
            self.add_error("area", "Draw the ground that was swept, or give its corners.")
        return cleaned


class TraceForm(PieceForm):
    """A line followed on the ground, or a service exposed."""

    utility = forms.ChoiceField(label="Utility", choices=said(UTILITIES))
    technique = forms.ChoiceField(label="Technique", choices=said(TRACE_TECHNIQUES))
    line = ShapeField(closed=False, label="Line", help_text="Its points in the site’s metre grid, x and y, one a line.")
    quality_level = forms.ChoiceField(label="Quality level", choices=[(one, LEVELS[one]) for one in QUALITY_LEVELS])
    depth_m = metres("Depth read, metres", "To the centre of the line. Leave it blank where the signal gives none.")
    raised_by_m = metres("Receiver raised by, metres")
    raised_depth_m = metres("Depth read then, metres", "Both must agree; that they do is no proof.")
    width_m = metres("Width of the service, metres", "From the plan, or as seen. Blank: not known.")
    services = ManyField(label="Services of the plans that it answers", required=False)
    fixes = forms.CharField(required=False, widget=forms.HiddenInput, max_length=20_000)

    def __init__(self, services: Offered, scheme: str, **given: Any) -> None:
        super().__init__(**given)
        self.fields["quality_level"].help_text = f"By {scheme}."
        self.fields["services"].choices = list(services)
        if not self.fields["services"].choices:
            del self.fields["services"]


class OutcomeForm(PieceForm):
    """How a service of the plans is accounted for though no trace answers it."""

    service = forms.CharField(widget=forms.HiddenInput, max_length=40)
    outcome = forms.ChoiceField(label="It is", choices=said(OUTCOMES), widget=forms.RadioSelect)
    note = forms.CharField(label="Who says so, and on what ground", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))


class MarksForm(PieceForm):
    """How the ground was marked."""

    marks = ManyField(label="Marked with", choices=said(MARKS))
    marks_note = forms.CharField(label="Note", required=False, max_length=2000, help_text="Where the marks stand, and what would be taken for one and is none.")


class PhotographForm(PieceForm):
    """One photograph."""

    photograph = forms.FileField(label="Photograph", allow_empty_file=True, validators=[whole])

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.fields["photograph"].widget.attrs["accept"] = "image/*"
        self.fields["photograph"].help_text = f"{SAID}, up to {LARGEST // 1024 // 1024} MB."


class PictureForm(PieceForm):
    """A picture to lie under the sketch."""

    picture = forms.FileField(label="A picture: a plan, or a photograph from above", allow_empty_file=True, validators=[whole])

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.fields["picture"].widget.attrs["accept"] = "image/*"
        self.fields["picture"].help_text = f"PNG, JPEG or WebP, up to {LARGEST // 1024 // 1024} MB."


class PointForm(PieceForm):
    """One point known in the picture and on the ground."""

    col = metres("Column in the picture, pixels from the left", "Touch the picture, or type it.")
    row = metres("Row in the picture, pixels from the top")
    x = metres("x on the site’s grid, metres")
    y = metres("y on the site’s grid, metres")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in ("col", "row", "x", "y"):
            try:
                NUMBER_READ.read(cleaned.get(name, "").strip())
            except Unfit as fault:
                self.add_error(name, f"{fault}.")
        return cleaned

    def line(self) -> str:
        return " ".join(self.cleaned_data[name].strip() for name in ("col", "row", "x", "y"))


class FinishForm(SignForm):
    """The password again; and where something is missing, why the locate is finished all the same."""

    def __init__(self, *args: Any, lacking: bool, **given: Any) -> None:
        super().__init__(*args, **given)
        if lacking:
            short_of = forms.CharField(label="Why it is finished all the same", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))
            short_of.help_text = "A permit that rests on it will be blocked for what is missing."
            self.fields = {"short_of": short_of, **self.fields}


def as_typed(row: Any) -> dict[str, Any]:
    """What a sheet says of its dig, as the form shows it."""
    return {"outline": listed(row.outline), "depth_m": "" if row.depth_m is None else f"{row.depth_m.normalize():f}", "method": row.method or "hand"}
