"""Text as registers keep it: trimmed of Unicode white space, in Unicode NFC, without control characters but line breaks."""

import re
import unicodedata

WHITE_SPACE = "\t\n\v\f\r \x85\xa0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u2028\u2029\u202f\u205f\u3000"
SHOWN = 40  # characters of a wrong value that a message repeats

_CONTROL = re.compile(r"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_BAD_BYTE = re.compile(r"[\ud800-\udfff]")
_ESCAPED_BYTE = 0xDC00  # where Python's surrogateescape puts the bytes that are not UTF-8


class Unfit(ValueError):
    """A value that its column cannot hold. The message says what is wrong and what was expected."""


def kept(raw: str) -> str:
    """The text as it is kept: trimmed, in NFC. Raises Unfit for control characters and for bytes that were not UTF-8."""
    text = raw.strip(WHITE_SPACE)
    if text.isascii() and text.isprintable():
        return text
    if found := _BAD_BYTE.search(text):
        raise Unfit(f"the byte 0x{(ord(found[0]) - _ESCAPED_BYTE) & 0xFF:02X} is not UTF-8: text in UTF-8 was expected")
    if found := _CONTROL.search(text):
        raise Unfit(f"the control character U+{ord(found[0]):04X} is in it: text without control characters but line breaks was expected")
    return unicodedata.normalize("NFC", text)


def shown(text: str) -> str:
    """The value in quotes for a message: cut short, nothing in it unprintable."""
    return repr(text if len(text) <= SHOWN else text[:SHOWN] + "…")
