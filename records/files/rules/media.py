"""What a file is: by its first bytes, and its name must say the same."""

import re
import unicodedata

LARGEST = 15 * 1024 * 1024  # bytes
HEAD = 16  # bytes that tell
LONGEST_NAME = 120
PDF, PNG, JPEG, WEBP = "application/pdf", "image/png", "image/jpeg", "image/webp"
ENDINGS = {PDF: (".pdf",), PNG: (".png",), JPEG: (".jpg", ".jpeg"), WEBP: (".webp",)}
IMAGES = (PNG, JPEG, WEBP)
SAID = "PDF, PNG, JPEG or WebP"

_UNFIT = re.compile(r"[\\/:*?\"<>|]")


def media_of(head: bytes) -> str:
    """The media type that the first bytes tell; nothing for any other."""
    if head.startswith(b"%PDF-"):
        return PDF
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    if head.startswith(b"\xff\xd8\xff"):
        return JPEG
    return WEBP if head[:4] == b"RIFF" and head[8:12] == b"WEBP" else ""


def fault(name: str, size: int, head: bytes) -> str:
    """Why the file is not kept; nothing where it may be."""
    if size == 0:
        return "The file is empty."
    if size > LARGEST:
        return f"The file has {size / 1024 / 1024:.1f} MB: at most {LARGEST // 1024 // 1024} MB were expected."
    media = media_of(head)
    if not media:
        return f"The file is none of {SAID}, by its first bytes."
    if not name.lower().endswith(ENDINGS[media]):
        return f"The file's name does not end as its content does: {' or '.join(ENDINGS[media])} was expected."
    return ""


def tidy(name: str) -> str:
    """A name that is safe to keep and to offer: no path, nothing unprintable or that turns the text around, not too long."""
    plain = unicodedata.normalize("NFC", name.replace("\\", "/").rsplit("/", 1)[-1])
    plain = "".join(one for one in plain if unicodedata.category(one)[0] != "C")
    plain = _UNFIT.sub("_", plain).strip(" .")
    stem, dot, ending = plain.rpartition(".")
    return f"{stem[: LONGEST_NAME - len(ending) - 1]}{dot}{ending}" if dot and stem else plain[:LONGEST_NAME] or "file"
