"""Names as they are compared: the same owner written in other letters is the same owner."""

import unicodedata


def owner_key(name: str) -> str:
    """A service owner's name as it is compared: trimmed, in Unicode NFC, case-folded."""
    return unicodedata.normalize("NFC", name.strip()).casefold()
