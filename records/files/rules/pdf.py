"""What is looked at in a PDF (ISO 32000) before it is kept.

A simple rule and no cleansing: the end is there, it is not locked, and none of its names runs a script or starts a program. Names are read
in the clear and in object streams, which are unfolded so far as the bound allows. Its other streams, such as pictures, stay unread.
"""

import re
import zlib
from collections.abc import Iterator

TAIL = 2048  # bytes at the end in which readers look for the end's marks
MOST_UNFOLDED = 32 * 1024 * 1024  # bytes of all object streams together
MOST_STREAMS, MOST_ESCAPED = 20_000, 100_000  # far beyond what a certificate or a plan has; each costs a look
LOCKED = b"Encrypt"
RUNNING = (b"JavaScript", b"Launch", b"Rendition", b"RichMedia", b"XFA")

_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
_NAMED = re.compile(rb"/(" + b"|".join((LOCKED, *RUNNING)) + rb")(?![^\s()<>\[\]{}/%])")
_STREAM = re.compile(rb"(?<!end)stream\r?\n")
_END = re.compile(rb"startxref\s+(\d{1,12})\s+%%EOF")
LONGEST_HEAD = 4096  # bytes of a stream's own dictionary

DAMAGED = "The PDF has no end: it may be damaged or cut off."
PACKED = "The PDF is packed in a way that cannot be looked into. Print it to a new PDF, and hand that in."
IS_LOCKED = "The PDF is locked with a password or with rights: one that anyone who may see it can read was expected."
RUNS = "The PDF holds a script, or starts a program when it is opened. Print it to a new PDF, and hand that in."


def fault(content: bytes) -> str:
    """Why the PDF is not kept; nothing where it may be."""
    ends = _END.findall(content[-TAIL:])
    if not ends or int(ends[-1]) >= len(content):
        return DAMAGED
    named: set[bytes] = set()
    try:
        for part in (content, *_unfolded(content)):
            named |= set(_NAMED.findall(_plain(part)))
    except (zlib.error, OverflowError):
        return PACKED
    return IS_LOCKED if LOCKED in named else RUNS if named else ""


def _plain(text: bytes) -> bytes:
    """With the letters that names may hide behind a number sign. Raises OverflowError where there are too many."""
    plain, count = _ESCAPED.subn(lambda found: bytes([int(found[1], 16)]), text, MOST_ESCAPED)
    if count == MOST_ESCAPED:
        raise OverflowError
    return plain


def _unfolded(content: bytes) -> Iterator[bytes]:
    """Each object stream, unfolded. Raises zlib.error for one that is packed otherwise, OverflowError beyond the bound."""
    left, start, looks = MOST_UNFOLDED, 0, MOST_STREAMS
    while found := _STREAM.search(content, start):
        start, head, looks = found.end(), _head(content, found.start()), looks - 1
        if not looks:
            raise OverflowError
        if b"/ObjStm" not in head or b"/Filter" not in head:
            continue  # it stands in the clear, or holds no objects
        end = content.find(b"endstream", start)
        unfolding = zlib.decompressobj()
        text = unfolding.decompress(content[start:end], left + 1)
        if len(text) > left:
            raise OverflowError
        if end < 0 or b"Predictor" in head or not unfolding.eof or unfolding.unused_data.strip():
            raise zlib.error("not all of it is an object stream")
        left, start = left - len(text), end
        yield text


def _head(content: bytes, end: int) -> bytes:
    """The dictionary of the stream that begins here."""
    begin = max(end - LONGEST_HEAD, 0)
    return _plain(content[max(content.rfind(b"obj", begin, end), begin) : end])
