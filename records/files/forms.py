"""Forms that take files."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from PIL import Image

from records.files.actions import keep
from records.files.rules import pdf
from records.files.rules.media import HEAD, IMAGES, LARGEST, SAID, fault, media_of
from records.forms import laid_out
from records.ledger.actions import Errand

MOST_PIXELS = 100_000_000


def whole(upload: UploadedFile) -> None:
    """Raises ValidationError for a file that is not kept, with the reason."""
    head = upload.read(HEAD)
    upload.seek(0)
    if says := fault(upload.name or "", upload.size or 0, head):
        raise ValidationError(says)
    if media_of(head) in IMAGES:
        _picture(upload)
    else:
        _document(upload)


def _document(upload: UploadedFile) -> None:
    says = pdf.fault(upload.read())
    upload.seek(0)
    if says:
        raise ValidationError(says)


def _picture(upload: UploadedFile) -> None:
    """Is it a picture that can be opened, and of no monstrous size?"""
    try:
        with Image.open(upload, formats=("PNG", "JPEG", "WEBP")) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise ValidationError(f"The picture has {picture.width} × {picture.height} points: at most {MOST_PIXELS // 1_000_000} million were expected.")
            picture.verify()
    except ValidationError:
        raise
    except Exception as trouble:  # the library raises many kinds for a picture that is none
        raise ValidationError("The picture cannot be read: it may be damaged.") from trouble
    finally:
        upload.seek(0)


class FilesForm(forms.Form):
    """A file of each of some kinds, none of them owed."""

    def __init__(self, whats: tuple[str, ...], **given: Any) -> None:
        super().__init__(**given)
        for what in whats:
            self.fields[f"file_{what}"] = forms.FileField(label=f"{what.capitalize()} (file)", required=False, allow_empty_file=True, validators=[whole])
            self.fields[f"file_{what}"].help_text = f"{SAID}, up to {LARGEST // 1024 // 1024} MB."
        self.helper = laid_out()

    def keeper(self, kind: str, subject: str, label: str) -> Callable[[Errand], None]:
        """What keeps the files that were handed in, inside the errand that writes the record."""
        handed = {name.removeprefix("file_"): upload for name, upload in self.cleaned_data.items() if upload}

        def keep_all(underway: Errand) -> None:
            for what, upload in handed.items():
                keep(underway, kind, subject, label, what, upload)

        return keep_all


class StrikeForm(forms.Form):
    """Why a file was a mistake."""

    why = forms.CharField(label="Why it is struck", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()
