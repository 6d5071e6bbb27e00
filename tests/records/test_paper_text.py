"""Text on paper: every script in a font that holds it, in its own direction, never markup, and nothing dropped."""

import hashlib
from io import BytesIO
from itertools import pairwise
from unicodedata import normalize

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from records.paper import text
from records.paper.fonts import BLOCKS, BOLD, FOLDER, REGULAR, font, font_of

# one given name or greeting a script, in letters of that script only
SCRIPTS = {
    "Latin": "Łukasz Żółć, Nguyễn Ánh",
    "Greek": "Αλέξης",
    "Cyrillic": "Ђорђе",
    "Armenian": "Արամ",
    "Georgian": "თამარ",
    "Ethiopic": "አበበ",
    "Han and kana": "山田 たろう",
    "Hangul": "김철수",
    "Cherokee": "ᏣᎳᎩ",
    "Canadian syllabics": "ᐃᓄᒃᑎᑐᑦ",
}
SHAPED = {
    "Arabic": "محمد",
    "Hebrew": "ירדנה",
    "Devanagari": "नीलिमा",
    "Bengali": "রহিম",
    "Tamil": "தமிழ்",
    "Thai": "ธนพล",
    "Khmer": "ខ្មែរ",
    "Myanmar": "မြန်မာ",
    "Tibetan": "བོད",
    "Thaana": "ދިވެހި",
}


def drawn(said, size=12.0, bold=False):
    """One page with the words on it, one line below the other."""
    font(REGULAR)
    out = BytesIO()
    canvas = Canvas(out, invariant=1, initialFontName=REGULAR, pageCompression=0)
    for at, line in enumerate(text.wrapped(said, size, 500, bold)):
        text.draw(canvas, 40, 800 - 20 * at, line, size, bold)
    canvas.save()
    return out.getvalue()


def read(said):
    return " ".join(normalize("NFKC", PdfReader(BytesIO(drawn(said))).pages[0].extract_text()).split())


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_name_reads_back_as_it_was_written(script):
    assert read(SCRIPTS[script]).replace(" ", "") == SCRIPTS[script].replace(" ", "")


@pytest.mark.parametrize("script", SHAPED)
def test_a_name_whose_letters_are_joined_keeps_its_letters_for_copying(script):
    spelt = SHAPED[script].encode("utf-16-be").hex().upper().encode()
    assert b"ActualText <FEFF" + spelt + b">" in drawn(SHAPED[script])


@pytest.mark.parametrize("said", [*SCRIPTS.values(), *SHAPED.values()])
def test_every_letter_has_a_font_that_holds_it(said):
    assert [letter for letter in said if font_of(letter) is None] == []


def test_letters_of_arabic_are_joined():
    """U+FEE3, U+FEA4, U+FEE4 and U+FEAA are the forms that the letters of this name take, from its beginning to its end (Unicode Standard, chart FE70)."""
    shaped = text.shaped(text.runs("محمد", False)[0], 12)
    assert str(shaped) == "\ufeaa\ufee4\ufea4\ufee3"


def test_hebrew_in_an_english_line_runs_from_right_to_left_in_place():
    runs = text.in_place(text.one_line("by ירדנה בן and others"), False)
    assert [run.text for run in runs] == ["by ", "בן", " ", "ירדנה", " and others"]


def test_brackets_round_hebrew_face_it():
    runs = text.in_place(text.one_line("שלום (12) עולם טוב"), False)
    assert "".join(run.text for run in runs if not text.RIGHT_TO_LEFT.search(run.text)).replace(" ", "") == "(12)"


@pytest.mark.parametrize("figures", ["١٢٣", "۱۲۳"])
def test_figures_run_from_left_to_right_among_arabic_letters(figures):
    assert figures in [run.text.strip() for run in text.in_place(text.one_line(f"عدد {figures} متر"), False)]


@pytest.mark.parametrize(
    ("character", "code"),
    [("\U00020000", "U+20000"), ("\u202e", "U+202E"), ("\x00", "U+0000"), ("\ue000", "U+E000"), ("\ud800", "U+D800")],
    ids=["no font", "direction", "control", "private", "half a pair"],
)
def test_a_character_without_a_shape_is_shown_by_its_code(character, code):
    assert code in read(f"a{character}b")


@pytest.mark.parametrize("said", ["<b>bold</b>", "<img src='/etc/passwd'/>", "&amp; &lt;", "]]> <!-- x -->", "\\(a\\) (b)"])
def test_what_looks_like_markup_is_text(said):
    assert read(said) == said


def test_marks_that_are_written_apart_are_composed():
    assert text.tidy("e\u0301") == "é"


def test_a_word_too_wide_is_cut_and_loses_nothing():
    lines = text.wrapped("x" * 2000, 9, 200)
    assert "".join(line.text for line in lines) == "x" * 2000
    assert max(text.width(line.text, 9) for line in lines) <= 200


def test_a_cut_never_parts_a_letter_from_its_marks():
    lines = text.wrapped("कि" * 200, 9, 100)
    assert all(line.text.count("क") == line.text.count("ि") for line in lines)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=300), st.sampled_from([60.0, 200.0]))
def test_any_text_wraps_into_lines_that_fit_and_keep_every_character(said, room):
    lines = text.wrapped(said, 9, room)
    assert "".join("".join(line.text for line in lines).split()) == "".join(text.tidy(said).split())
    assert all(text.width(line.text, 9) <= room + 0.01 or len(text.letters(line.text)) == 1 for line in lines)


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=120))
def test_any_text_can_be_drawn(said):
    assert drawn(said).startswith(b"%PDF")


def test_what_is_drawn_does_not_depend_on_what_was_drawn_before():
    first = drawn("नीलिमा محمد")
    drawn("क्षत्रिय عبد الله")
    assert drawn("नीलिमा محمد") == first


def test_bold_latin_is_set_in_the_bold_font():
    assert {run.font for run in text.runs("Work", True)} == {BOLD}


def test_the_blocks_of_the_scripts_do_not_overlap():
    assert all(one[1] < other[0] for one, other in pairwise(BLOCKS))


def test_every_font_is_the_one_that_was_vendored():
    listed = dict(reversed(line.split()) for line in (FOLDER / "SHA256SUMS").read_text().splitlines())
    found = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FOLDER.glob("*.ttf")}
    assert found == listed
    assert {name for _, _, name in BLOCKS} <= {path.stem for path in FOLDER.glob("*.ttf")}
