"""The forms that try a position, either way round. Sent by GET: they write nothing."""

from typing import Any

from django import forms

from locates.grids.rules.projection import Projection
from records.forms import laid_out
from records.rules.text import Unfit
from records.rules.wkt import FARTHEST_M

DECIMAL = {"inputmode": "decimal", "autocomplete": "off"}


def number(label: str, most: float, help_text: str = "") -> forms.FloatField:
    return forms.FloatField(label=label, min_value=-most, max_value=most, help_text=help_text, widget=forms.TextInput(attrs=DECIMAL))


class TryForm(forms.Form):
    """A position in one of the two ways; `answer` is it in the other, once the form is valid."""

    def __init__(self, grid: Projection, asked: Any) -> None:
        super().__init__(data=asked if any(name in asked for name in self.base_fields) else None)
        self.grid, self.answer = grid, (0.0, 0.0)
        self.helper = laid_out()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors:
            try:
                self.answer = self.turned(*(cleaned[name] for name in self.fields))
            except Unfit as fault:
                self.add_error(None, str(fault))
        return cleaned


class FromEarth(TryForm):
    lon = number("Longitude, degrees", 180, "East of Greenwich above 0, west of it below.")
    lat = number("Latitude, degrees", 90, "North of the equator above 0, south of it below.")

    def turned(self, lon: float, lat: float) -> tuple[float, float]:
        return self.grid.to_site(lon, lat)


class FromSite(TryForm):
    x = number("x, metres", FARTHEST_M)
    y = number("y, metres", FARTHEST_M)

    def turned(self, x: float, y: float) -> tuple[float, float]:
        return self.grid.to_earth(x, y)
