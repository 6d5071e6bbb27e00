"""The forms by which a log is brought in: the file, how it is written, what its columns are, and what its words mean."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from locates.logs.rules.layout import (
    ENCODINGS,
    ENCODINGS_SAID,
    LONLAT,
    MOST_ABOVE,
    NOT_OURS,
    POSITIONS,
    POSITIONS_SAID,
    How,
    faults,
    named,
)
from locates.logs.rules.reading import LARGEST, MOST_ROWS
from locates.logs.rules.times import AT_SITE, ITS_OWN, SAID, TIME_FORMS
from records.forms import laid_out
from records.rules.columns import zones
from records.rules.words import TECHNIQUES, spoken

CHOOSE, NONE_OF_OURS, ANOTHER = ("", "choose"), "none", "another"
DELIMITERS_SAID = {"comma": "comma  ,", "semicolon": "semicolon  ;", "tab": "tab", "bar": "upright bar  |"}


class FileForm(forms.Form):
    """A log, as the receiver exported it."""

    file = forms.FileField(label="The log (a CSV file)", allow_empty_file=True)
    file.help_text = f"As the receiver exported it: text with a delimiter between the cells, up to {LARGEST // 1024 // 1024} MB and {MOST_ROWS:,} rows."

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()

    def clean_file(self) -> UploadedFile:
        file = self.cleaned_data["file"]
        if not file.size:
            raise ValidationError("The file is empty.")
        if file.size > LARGEST:
            raise ValidationError(f"The file has {file.size / 1024 / 1024:.1f} MB: at most {LARGEST // 1024 // 1024} MB were expected.")
        return file


class WrittenForm(forms.Form):
    """How the file is written, before anything can be read in it."""

    encoding = forms.ChoiceField(label="Encoding", choices=[(one, ENCODINGS_SAID[one]) for one in ENCODINGS])
    delimiter = forms.ChoiceField(label="Between the cells", choices=list(DELIMITERS_SAID.items()))
    above = forms.IntegerField(label="Lines above the header", min_value=0, max_value=MOST_ABOVE)
    above.help_text = "Some receivers write a few lines of their own before the names of the columns."
    decimal_comma = forms.TypedChoiceField(
        label="Decimals are written with a", choices=[("no", "point: 1.5"), ("yes", "comma: 1,5")], coerce=lambda word: word == "yes"
    )

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()


class ColumnsForm(forms.Form):
    """Which column is what. Nothing is chosen beforehand: two ways to read a date look alike."""

    day = forms.TypedChoiceField(label="Column of the date", required=False, coerce=int, empty_value=None)
    day.help_text = "Only where it stands apart from the time of day."
    time = forms.TypedChoiceField(label="Column of the time", coerce=int)
    time_form = forms.ChoiceField(label="How times are written", choices=[CHOOSE, *((one, SAID[one]) for one in TIME_FORMS)])
    zone = forms.ChoiceField(label="By which clock", required=False)
    zone_name = forms.CharField(label="That zone", required=False, max_length=60, help_text="Only for another zone: its name, such as Pacific/Auckland.")
    mode = forms.TypedChoiceField(label="Column of the mode", coerce=int)
    reading = forms.TypedChoiceField(label="Column of the reading", required=False, coerce=int, empty_value=None)
    position = forms.ChoiceField(label="Positions")
    x = forms.TypedChoiceField(label="Column of x, or longitude", required=False, coerce=int, empty_value=None)
    y = forms.TypedChoiceField(label="Column of y, or latitude", required=False, coerce=int, empty_value=None)

    def __init__(self, header: Sequence[str], site_zone: str, on_earth: bool, **given: Any) -> None:
        super().__init__(**given)
        self.header = tuple(header)
        columns = [(str(number), named(header, number)) for number in range(len(header))]
        for name in ("day", "reading", "x", "y"):
            self.fields[name].choices = [("", "none"), *columns]
        for name in ("time", "mode"):
            self.fields[name].choices = [CHOOSE, *columns]
        clocks = [(AT_SITE, f"the clock of the site (here {site_zone})"), ("UTC", "UTC"), (ITS_OWN, "each time bears its own offset, as +13:00 or Z")]
        self.fields["zone"].choices = [CHOOSE, *clocks, (ANOTHER, "another zone, named below")]
        self.fields["position"].choices = [CHOOSE, *((one, POSITIONS_SAID[one]) for one in POSITIONS if on_earth or one != LONLAT)]
        self.helper = laid_out()

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        if given.get("zone") == ANOTHER and given.get("zone_name") not in zones():
            self.add_error("zone_name", "That is no time zone: an IANA name such as Pacific/Auckland was expected.")
        if given.get("zone") != ANOTHER and given.get("zone_name"):
            self.add_error("zone_name", "A zone is named here, and another clock is chosen above: one of them was expected.")
        return given

    def how(self, written: Mapping[str, Any]) -> How | None:
        """The layout, without its words; None where it does not hold together, which is then said at the fields."""
        if not self.is_valid():
            return None
        given = {name: value for name, value in self.cleaned_data.items() if name != "zone_name"}
        zone = self.cleaned_data["zone_name"] if given["zone"] == ANOTHER else given["zone"]
        made = How(header=self.header, **written, **given | {"zone": zone})
        for column, says in faults(made):
            self.add_error(column, says[0].upper() + says[1:] + ".")
        return None if self.errors else made


class KeepForm(forms.Form):
    """What each word of the mode's column means, and for a new layout its name."""

    def __init__(self, words: Mapping[str, int], new: bool, **given: Any) -> None:
        super().__init__(**given)
        self.words = list(words)
        choices = [CHOOSE, *((one, spoken(one)) for one in TECHNIQUES), (NONE_OF_OURS, "none of these: not a search")]
        for number, (word, count) in enumerate(words.items()):
            shown = f"“{word}”" if word else "blank"
            self.fields[f"word_{number}"] = forms.ChoiceField(
                label=f"{shown} means", choices=choices, help_text=f"In {count:,} row{'' if count == 1 else 's'}."
            )
        if new:
            self.fields["name"] = forms.CharField(label="A name for this layout", max_length=100)
            self.fields["name"].help_text = "By which you know it again, such as: survey receiver, north office. The next file with this header is read by it."
        self.helper = laid_out()

    def meanings(self) -> dict[str, str]:
        """The technique that each word means, or nothing."""
        chosen = [self.cleaned_data[f"word_{number}"] for number in range(len(self.words))]
        return {word: NOT_OURS if one == NONE_OF_OURS else one for word, one in zip(self.words, chosen, strict=True)}


class NameForm(forms.Form):
    """What a layout is called."""

    name = forms.CharField(label="Name", max_length=100)

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()


class RetireForm(forms.Form):
    """Why a layout is used no more."""

    why = forms.CharField(label="Why it is retired", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()


class SieveForm(forms.Form):
    """Which locates with logs to list. Sent by GET, so that the address can be kept."""

    show = forms.ChoiceField(label="Show", required=False, choices=[("", "those that differ"), ("all", "all that have a log")])
    site = forms.ChoiceField(label="Site", required=False)
    since = forms.DateField(label="Locates begun since", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    sort = forms.ChoiceField(
        label="Order",
        required=False,
        choices=[("", "latest first"), ("begun", "earliest first"), ("most", "most differences first"), ("locate", "by identifier")],
    )

    def __init__(self, sites: Sequence[tuple[str, str]], **given: Any) -> None:
        super().__init__(**given)
        self.fields["site"].choices = [("", "every site"), *sites]
        self.helper = laid_out()

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}
