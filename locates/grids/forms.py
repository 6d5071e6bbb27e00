"""The forms that try a position, either way round, and that read a track. They write nothing."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from locates.grids.rules.projection import Projection
from locates.grids.rules.shapes import LARGEST_FILE
from locates.grids.rules.thinning import MOST_M
from locates.grids.rules.tracks import Offer, offers, read
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


class TrackForm(forms.Form):
    """A track recorded elsewhere. Once the form is valid, `made` are its shapes in the site's metres, and `left` says of each other why it is left out."""

    file = forms.FileField(label="Track file", allow_empty_file=True, help_text=f"GPX 1.1 or GeoJSON, up to {LARGEST_FILE // 1024 // 1024} MB.")
    thin = forms.FloatField(label="Thin lines by at most, metres", required=False, min_value=0, max_value=MOST_M, widget=forms.TextInput(attrs=DECIMAL))
    thin.help_text = "No point that is left out lies farther than this from the line. Left blank: every point is kept."

    def __init__(self, grid: Projection, **given: Any) -> None:
        super().__init__(**given)
        self.grid = grid
        self.made: tuple[Offer, ...] = ()
        self.left: tuple[str, ...] = ()
        self.helper = laid_out()

    def clean_file(self) -> UploadedFile:
        if self.cleaned_data["file"].size > LARGEST_FILE:  # said before it is read
            raise ValidationError(
                f"The file has {self.cleaned_data['file'].size / 1024 / 1024:.1f} MB: at most {LARGEST_FILE // 1024 // 1024} MB were expected."
            )
        return self.cleaned_data["file"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors:
            try:
                self.made, self.left = offers(read(cleaned["file"].read()), self.grid, cleaned["thin"] or 0.0)
            except Unfit as fault:
                self.add_error("file", str(fault))
        return cleaned
