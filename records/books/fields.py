"""Form fields that give the text of a register's cell: what is right with it, the register's own door says."""

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from records.rules.columns import FIRST_DAY, LAST_DAY
from records.rules.corners import line, listed, polygon
from records.rules.dates import instant_text


class MomentWidget(forms.MultiWidget):
    """A day and a time of day, side by side."""

    def __init__(self, label: str) -> None:
        day = forms.DateInput(attrs={"type": "date", "aria-label": f"{label}: day"})
        time = forms.TimeInput(attrs={"type": "time", "step": "60", "aria-label": f"{label}: time of day"})
        super().__init__({"day": day, "time": time})

    def decompress(self, value: str | None) -> list[str]:
        """The local text `YYYY-MM-DDTHH:MM`, with an offset after it where the clocks show that time twice."""
        return [value[:10], value[11:]] if value else ["", ""]

    def id_for_label(self, id_: str) -> str:
        return f"{id_}_day" if id_ else id_


class MomentField(forms.MultiValueField):
    """An instant as the clocks of a place show it. Of a time that comes twice there, `+HH:MM` after it says which; a time that is skipped is refused."""

    def __init__(self, zone: ZoneInfo, **given: Any) -> None:
        self.zone = zone
        fields = (forms.CharField(required=False), forms.CharField(required=False))
        super().__init__(fields, require_all_fields=False, widget=MomentWidget(str(given.get("label", ""))), **given)

    def compress(self, parts: list[str]) -> str:
        day, time = [*(parts or []), "", ""][:2]
        if not day and not time:
            return ""
        if not day or not time:
            raise ValidationError("A day and a time of day are wanted, both or neither.")
        return with_offset(day.strip(), time.strip(), self.zone)


def with_offset(day: str, time: str, zone: ZoneInfo) -> str:
    """`YYYY-MM-DDTHH:MM[:SS]±HH:MM` for a local time in the zone. Text that is none stays, for the register's reader to judge. Raises ValidationError."""
    if "+" in time or "-" in time or time.upper().endswith("Z"):
        return f"{day}T{time}"
    try:
        local = datetime.fromisoformat(f"{day}T{time}")
    except ValueError:
        return f"{day}T{time}"
    if not FIRST_DAY <= local.date() <= LAST_DAY:
        raise ValidationError(f"{local.date()} is out of range: {FIRST_DAY} to {LAST_DAY} was expected.")
    early, late = (local.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return instant_text(early, zone)
    if early.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != local:
        raise ValidationError(f"The clocks went forward: there is no {time} on {day} in {zone.key}.")
    first, second = (f"{time}{_offset(one)}" for one in (early, late))
    raise ValidationError(f"The clocks went back: {time} comes twice on {day}. Write {first} for the first, {second} for the second.")


def _offset(instant: datetime) -> str:
    return instant.isoformat(timespec="minutes")[-6:]


def local_text(instant: datetime | None, zone: ZoneInfo) -> str:
    """A stored instant as the field shows it: the zone's own clock, with seconds where it has any, and with the offset where that time comes twice."""
    if instant is None:
        return ""
    local = instant.astimezone(zone)
    text = local.replace(tzinfo=None).isoformat(timespec="seconds" if local.second else "minutes")
    twice = local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()
    return f"{text}{_offset(local)}" if twice else text


class ManyField(forms.MultipleChoiceField):
    """Some of a list of words or records, given as a cell with `;` between."""

    widget = forms.CheckboxSelectMultiple

    def clean(self, value: Any) -> str:
        return ";".join(super().clean(value))


class LinesField(forms.CharField):
    """Texts, one a line, given as a cell with `;` between."""

    def __init__(self, **given: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={"rows": 4}), **given)

    def clean(self, value: Any) -> str:
        return ";".join(one.strip() for one in super().clean(value).splitlines() if one.strip())

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(one.strip() for one in value.split(";")) if isinstance(value, str) and "\n" not in value else value


class Sketched(forms.Widget):
    """What a field is typed in can be drawn too, where there is JavaScript. `sketch`: what the sketch's element says, by the attribute's name."""

    sketch: dict[str, str]

    @property
    def media(self) -> forms.Media:
        return forms.Media(css={"all": ["sketch.css"]}, js=[forms.Script("sketch.js", defer=True)])

    def render(self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None) -> SafeString:
        field = super().render(name, value, attrs, renderer)
        told = {"field": (attrs or {}).get("id", "")} | self.sketch
        return format_html("{}<div data-sketch{}></div>", field, format_html_join("", ' data-{}="{}"', told.items()))


class SketchWidget(Sketched, forms.Textarea):
    """A shape as text. `width`: the identifier of the field that makes a trench of a line."""

    def __init__(self, draws: str, width: str = "", **given: Any) -> None:
        super().__init__(**given)
        self.attrs["spellcheck"] = "false"
        self.sketch = {"draws": draws, "width": width}


class PlaceWidget(Sketched, forms.TextInput):
    """The second of two numbers that are a place in the site's grid; `fields`: the identifiers of both."""

    def __init__(self, fields: str, **given: Any) -> None:
        super().__init__(**given)
        self.sketch = {"draws": "point", "what": "point", "field": fields}


class ShapeField(forms.CharField):
    """Corners or points of the site's metre grid, one a line; or Well-Known Text as it stands."""

    def __init__(self, *, closed: bool, **given: Any) -> None:
        super().__init__(**{"widget": forms.Textarea(attrs={"rows": 5, "spellcheck": "false"})} | given)
        self.shape = polygon if closed else line

    def clean(self, value: Any) -> str:
        return self.shape(super().clean(value))

    def prepare_value(self, value: Any) -> Any:
        return listed(value) if isinstance(value, str) else value
