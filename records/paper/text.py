"""Text in any script, measured, wrapped and drawn: never markup, each script in its own font, right to left where it runs so.

What no font holds, and what would only steer the text, is drawn as a box with its code. Sizes and widths are in points.
"""

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from bidi import get_display
from reportlab.lib.abag import ABag
from reportlab.pdfbase.ttfonts import ShapedStr, shapeFragWord
from reportlab.pdfgen.canvas import Canvas

from records.paper.fonts import BOLD, JOINERS, PLAIN, REGULAR, font, font_of, shown

LEADING = 1.36  # of the size: room for the tallest of the scripts
BOX_SIZE, BOX_PAD = 0.6, 0.15
RIGHT_TO_LEFT = re.compile("[\u0590-\u065f\u066a-\u06ef\u06fa-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff]")
LETTER = re.compile(r"[^\W\d_]")
PAIRS = dict(zip("([{<«‹", ")]}>»›", strict=True))
BACK = {close: opening for opening, close in PAIRS.items()}
FEATURES = {"kern": True, "liga": True, "dlig": False}  # a name keeps its letters: no word is drawn as one sign


class Line(NamedTuple):
    """One line in reading order; `rtl`: its paragraph runs from right to left, as one does whose letters mostly do."""

    text: str
    rtl: bool = False


class Run(NamedTuple):
    """What one font sets in one go; without a font, a single character to be shown by its code."""

    text: str
    font: str | None


def tidy(text: str) -> str:
    """Composed letters, and a plain space for a tab."""
    return unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " "))


def code(character: str) -> str:
    return f"U+{ord(character):04X}"


def visible(text: str) -> str:
    """The text with each character that has no shape written as its code."""
    return "".join(character if shown(character) else f"[{code(character)}]" for character in tidy(text).replace("\n", " "))


def runs(text: str, bold: bool) -> list[Run]:
    """Cut into stretches of one font. A mark stays with the letter that bears it, where that font has it."""
    if text.isascii() and text.isprintable():
        return [Run(text, BOLD if bold else REGULAR)] if text else []
    found: list[Run] = []
    for character in text:
        last = found[-1].font if found else None
        name = font_of(character, bold)
        if last and (character in JOINERS or unicodedata.category(character)[0] == "M") and ord(character) in font(last).face.charToGlyph:
            name = last
        if name is not None and name == last:
            found[-1] = Run(found[-1].text + character, name)
        else:
            found.append(Run(character, name))
    return found


@lru_cache(maxsize=50_000)
def _unit_width(text: str, bold: bool) -> float:
    """Its width at size 1, in reading order."""
    return sum(_run_width(run) for run in runs(text, bold))


def _run_width(run: Run) -> float:
    if run.font is None:
        return _unit_width(code(run.text), False) * BOX_SIZE + 2 * BOX_PAD
    glyphs = shaped(run, 1)
    if isinstance(glyphs, ShapedStr):
        return sum(glyph.x_advance for glyph in glyphs.__shapeData__) / 1000
    return font(run.font).stringWidth(run.text, 1)


def _needs_shaping(run: Run) -> bool:
    if run.text.isascii() or run.text.isdecimal():
        return False  # figures run from left to right in every script
    return run.font not in PLAIN or any(unicodedata.combining(character) for character in run.text)


def shaped(run: Run, size: float) -> str:
    """The run as its font joins, stacks and orders it; the text itself where the letters stand one by one."""
    if run.font is None or not _needs_shaping(run):
        return run.text
    return shapeFragWord([0, (ABag(fontName=run.font, fontSize=size), run.text)], FEATURES, force=True)[1][1]


def width(text: str, size: float, bold: bool = False) -> float:
    return _unit_width(tidy(text), bold) * size


def one_line(text: str) -> Line:
    """The whole text on one line, however wide."""
    spaced = " ".join(tidy(text).split())
    leftwards = len(RIGHT_TO_LEFT.findall(spaced))
    return Line(spaced, leftwards > 0 and 2 * leftwards > len(LETTER.findall(spaced)))


@lru_cache(maxsize=5_000)
def wrapped(text: str, size: float, room: float, bold: bool = False) -> tuple[Line, ...]:
    """The text as lines no wider than the room; a word too wide for it is cut between letters."""
    lines: list[Line] = []
    for paragraph in tidy(text).split("\n"):
        whole = one_line(paragraph)
        lines += [Line(line, whole.rtl) for line in _filled(whole.text, room / size, bold)]
    return tuple(lines)


def _filled(paragraph: str, room: float, bold: bool) -> Iterator[str]:
    line, used = "", 0.0
    space = _unit_width(" ", bold)
    for word in paragraph.split():
        wide = _unit_width(word, bold)
        gap = space if line else 0.0
        if used + gap + wide <= room:
            line, used = f"{line} {word}" if line else word, used + gap + wide
        elif wide <= room:
            yield line
            line, used = word, wide
        else:
            if line:
                yield line
            *whole, line = _cut(word, room, bold)
            yield from whole
            used = _unit_width(line, bold)
    yield line


def _cut(word: str, room: float, bold: bool) -> list[str]:
    pieces, used = [""], 0.0
    for letter in letters(word):
        wide = _unit_width(letter, bold)
        if pieces[-1] and used + wide > room:
            pieces.append("")
            used = 0.0
        pieces[-1] += letter
        used += wide
    return pieces


def letters(word: str) -> list[str]:
    """Letters with the marks they bear."""
    if word.isascii():
        return list(word)
    found: list[str] = []
    for character in word:
        if found and (character in JOINERS or unicodedata.category(character)[0] == "M"):
            found[-1] += character
        else:
            found.append(character)
    return found


def draw(canvas: Canvas, x: float, y: float, line: Line, size: float, bold: bool = False) -> None:
    """Set one line with its baseline beginning at the point."""
    for run in in_place(line, bold):
        if run.font is None:
            _draw_box(canvas, x, y, run.text, size)
        else:
            _draw_run(canvas, x, y, run, size)
        x += _run_width(run) * size


def in_place(line: Line, bold: bool) -> list[Run]:
    """The runs from left to right, each in reading order."""
    if not RIGHT_TO_LEFT.search(line.text):
        return runs(line.text, bold)
    display = mirrored(get_display(line.text, base_dir="R" if line.rtl else "L"))
    return [run for piece in re.split(f"({RIGHT_TO_LEFT.pattern}+)", display) for run in _turned(piece, bold)]


def _turned(piece: str, bold: bool) -> list[Run]:
    """The runs of a displayed piece; shaping wants the letters of one that runs from right to left in reading order."""
    if not RIGHT_TO_LEFT.match(piece):
        return runs(piece, bold)
    return [Run(run.text[::-1], run.font) if run.font in PLAIN else run for run in reversed(runs(piece[::-1], bold))]


def mirrored(display: str) -> str:
    """Turn the brackets of a displayed line that stand the wrong way round: a closing one with its opening one after it."""
    characters = list(display)
    opened: list[int] = []
    closed: list[int] = []
    for at, character in enumerate(characters):
        if character in BACK:
            if opened and characters[opened[-1]] == BACK[character]:
                opened.pop()
            else:
                closed.append(at)
        elif character in PAIRS:
            if closed and characters[closed[-1]] == PAIRS[character]:
                start = closed.pop()
                characters[start], characters[at] = character, PAIRS[character]
            else:
                opened.append(at)
    return "".join(characters)


def _draw_run(canvas: Canvas, x: float, y: float, run: Run, size: float) -> None:
    glyphs = shaped(run, size)
    canvas.setFont(run.font, size)
    if glyphs is run.text:
        canvas.drawString(x, y, run.text)
        return
    # copied or read aloud, the shaped glyphs give the letters that were written
    spelt = run.text.encode("utf-16-be").hex().upper()
    canvas.addLiteral(f"/Span <</ActualText <FEFF{spelt}>>> BDC")
    written = canvas.beginText(x, y)
    written.textOut(glyphs)
    canvas.drawText(written)
    canvas.addLiteral("EMC")


def _draw_box(canvas: Canvas, x: float, y: float, character: str, size: float) -> None:
    wide = _run_width(Run(character, None)) * size
    canvas.setLineWidth(0.5)
    canvas.rect(x + 0.05 * size, y - 0.15 * size, wide - 0.1 * size, 0.85 * size)
    _draw_run(canvas, x + BOX_PAD * size, y + 0.08 * size, Run(code(character), REGULAR), size * BOX_SIZE)
