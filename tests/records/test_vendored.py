"""What others made and we carry along is what its list says, with its licence beside it."""

import re
from hashlib import sha256

import pytest

from records.paper.fonts import BLOCKS, FOLDER
from tests.house.source import ROOT

FOLDERS = [
    ROOT / "records/static/vendor/bootstrap",
    ROOT / "records/static/vendor/alegreya",
    ROOT / "records/static/vendor/openlayers",
    ROOT / "tests/vendor/axe-core",
]


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_each_file_has_the_digest_that_its_list_gives(folder):
    listed = dict(re.findall(r"^([0-9a-f]{64})  (\S+)$", (folder / "SHA256SUMS").read_text(), re.MULTILINE))
    found = {sha256(path.read_bytes()).hexdigest(): path.name for path in folder.iterdir() if path.name != "SHA256SUMS"}
    assert listed == found
    assert any(name.startswith("LICENSE") for name in listed.values())


def test_no_script_asks_for_a_map_of_its_source_or_runs_what_the_policy_bars():
    scripts = {path: path.read_text() for path in (ROOT / "records" / "static").rglob("*.js")}
    assert any(path.name == "ol.js" for path in scripts)
    barred = re.compile(r"sourceMappingURL|\beval\(|new Function\(|new Worker\(|createObjectURL")
    assert [(path.name, one) for path, text in scripts.items() for one in barred.findall(text)] == []


def test_no_style_sheet_asks_for_anything_from_elsewhere():
    sheets = {path: path.read_text() for path in (ROOT / "records" / "static").rglob("*.css")}
    asked = [(path.name, one) for path, text in sheets.items() for one in re.findall(r"""url\(["']?([^"')]+)|@import|sourceMappingURL""", text)]
    assert len(asked) > 20
    assert [one for one in asked if not one[1].startswith(("data:", "vendor/"))] == []


def test_every_lettering_file_named_is_there_and_none_is_carried_in_vain():
    sheet = (ROOT / "records/static/lettering.css").read_text()
    named = set(re.findall(r'url\("(vendor/[^"]+)"', sheet))
    assert named == {f"vendor/alegreya/{path.name}" for path in FOLDERS[1].glob("*.woff2")}


def test_the_page_shows_names_in_every_script_that_the_paper_prints():
    faces = re.findall(r'url\("vendor/fonts/([^"]+)\.ttf"\).*?unicode-range: ([^;]+);', (ROOT / "records/static/scripts.css").read_text(), re.DOTALL)
    shown = {(f"U+{first:X}-{last:X}", name) for first, last, name in BLOCKS}
    assert shown <= {(span, name) for name, spans in faces for span in spans.split(", ")}
    assert [name for name, _ in faces if not (FOLDER / f"{name}.ttf").is_file()] == []
