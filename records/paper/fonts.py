"""The vendored fonts: which one holds a character, loaded when first needed."""

import unicodedata
from bisect import bisect_right
from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FOLDER = Path(__file__).parents[1] / "vendor" / "fonts"
REGULAR, BOLD, SYMBOLS, IDEOGRAPHS, HANGUL = "NotoSans-Regular", "NotoSans-Bold", "DejaVuSans", "DroidSansFallbackFull", "NanumSquareR"
JOINERS = "\u200c\u200d"  # they shape the letters beside them

# first and last code point of a script's blocks, and the script's font
BLOCKS = sorted(
    (first, last, HANGUL if script == "Hangul" else f"Noto{script}-Regular")
    for script, spans in {
        "SansAdlam": ((0x1E900, 0x1E95F),),
        "SansArabic": ((0x600, 0x6FF), (0x750, 0x77F), (0x8A0, 0x8FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFC)),
        "SansArmenian": ((0x530, 0x58F), (0xFB13, 0xFB17)),
        "SansBengali": ((0x980, 0x9FF),),
        "SansCanadianAboriginal": ((0x1400, 0x167F), (0x18B0, 0x18FF)),
        "SansCherokee": ((0x13A0, 0x13FF), (0xAB70, 0xABBF)),
        "SansDevanagari": ((0x900, 0x97F), (0xA8E0, 0xA8FF)),
        "SansEthiopic": ((0x1200, 0x139F), (0x2D80, 0x2DDF), (0xAB00, 0xAB2F)),
        "SansGeorgian": ((0x10A0, 0x10FF), (0x1C90, 0x1CBF), (0x2D00, 0x2D2F)),
        "SansGujarati": ((0xA80, 0xAFF),),
        "SansGurmukhi": ((0xA00, 0xA7F),),
        "Hangul": ((0x1100, 0x11FF), (0x3130, 0x318F), (0xAC00, 0xD7AF)),
        "SansHebrew": ((0x590, 0x5FF), (0xFB1D, 0xFB4F)),
        "SansJavanese": ((0xA980, 0xA9DF),),
        "SansKannada": ((0xC80, 0xCFF),),
        "SansKhmer": ((0x1780, 0x17FF), (0x19E0, 0x19FF)),
        "SansLao": ((0xE80, 0xEFF),),
        "SansMalayalam": ((0xD00, 0xD7F),),
        "SansMongolian": ((0x1800, 0x18AF),),
        "SansMyanmar": ((0x1000, 0x109F), (0xA9E0, 0xA9FF), (0xAA60, 0xAA7F)),
        "SansNKo": ((0x7C0, 0x7FF),),
        "SansOriya": ((0xB00, 0xB7F),),
        "SansSinhala": ((0xD80, 0xDFF),),
        "SansSyriac": ((0x700, 0x74F),),
        "SansTamil": ((0xB80, 0xBFF),),
        "SansTelugu": ((0xC00, 0xC7F),),
        "SansThaana": ((0x780, 0x7BF),),
        "SansThai": ((0xE00, 0xE7F),),
        "SerifTibetan": ((0xF00, 0xFFF),),
        "SansTifinagh": ((0x2D30, 0x2D7F),),
    }.items()
    for first, last in spans
)
STARTS = [first for first, _, _ in BLOCKS]
# these are set letter by letter; all others need their letters joined, stacked or reordered
PLAIN = {REGULAR, BOLD, SYMBOLS, IDEOGRAPHS, HANGUL}
PLAIN |= {f"NotoSans{script}-Regular" for script in ("Armenian", "CanadianAboriginal", "Cherokee", "Ethiopic", "Georgian")}


@cache
def font(name: str) -> TTFont:
    """The font, registered with reportlab once in a process."""
    loaded = TTFont(name, str(FOLDER / f"{name}.ttf"))
    if name not in (IDEOGRAPHS, HANGUL):
        _name_every_glyph(loaded)
    pdfmetrics.registerFont(loaded)
    return loaded


def _name_every_glyph(loaded: TTFont) -> None:
    """Give the glyphs that only shaping reaches their private characters now, in order.

    Given at first use, as reportlab would, a paper's bytes would depend on what the process printed before.
    """
    shaper = loaded.hbFont()
    for glyph in range(loaded.hbFace.glyph_count):
        if glyph not in loaded.face.glyphToChar:
            loaded.hbAddPrivate(shaper.glyph_to_string(glyph), glyph, loaded.pdfScale(shaper.get_glyph_h_advance(glyph)))


def shown(character: str) -> bool:
    """Has it a shape of its own? Controls, marks that steer the direction and private characters have none."""
    return character in JOINERS or unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Co", "Cn")


def holds(name: str, character: str) -> bool:
    return ord(character) in font(name).face.charToGlyph


@cache
def font_of(character: str, bold: bool = False) -> str | None:
    """The first font that holds the character; None where no font does, or where it has no shape."""
    if not shown(character):
        return None
    code = ord(character)
    at = bisect_right(STARTS, code) - 1
    script = [BLOCKS[at][2]] if at >= 0 and code <= BLOCKS[at][1] else []
    return next((name for name in (BOLD if bold else REGULAR, *script, SYMBOLS, IDEOGRAPHS) if holds(name, character)), None)
