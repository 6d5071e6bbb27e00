"""Names as they are compared: the same owner written in other letters is the same owner."""

import unicodedata


def owner_key(name: str) -> str:
    """A service owner's name as it is compared: trimmed, in Unicode NFC, case-folded."""
    return unicodedata.normalize("NFC", name.strip()).casefold()


def stands_in(asked: str, text: str) -> bool:
    """Does every word that is asked for stand in the text, whatever the case and the marks over letters? Nothing asked stands in all."""
    plain = _unmarked(text)
    return all(word in plain for word in _unmarked(asked).split())


def _unmarked(text: str) -> str:
    return "".join(one for one in unicodedata.normalize("NFKD", text) if not unicodedata.category(one).startswith("M")).lower()
