"""The square of a paper as it is rendered, read by another library than the one that drew it, opens the page."""

import shutil
import subprocess

import pytest
import zxingcpp
from django.test import Client
from PIL import Image

from records.files.store import place
from records.paper.square import square_svg
from tests.papers.conftest import ROOT, printed, signed
from tests.papers.test_looking_up import address, text
from tests.papers.test_printing import withdraw

pytestmark = [pytest.mark.django_db, pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="no pdftoppm on this machine: apt-get install poppler-utils")]


def read(paper, tmp_path, dots=100):
    """What a reader finds on the first page, rendered with so many dots to the inch."""
    shown = tmp_path / "page"
    subprocess.run(["pdftoppm", "-r", str(dots), "-l", "1", "-png", "-singlefile", place(paper.sha256), shown], check=True)
    return [one.text for one in zxingcpp.read_barcodes(Image.open(f"{shown}.png"))]


@pytest.mark.parametrize("dots", [75, 150, 300])
def test_the_square_on_the_page_holds_the_address_of_this_very_paper(scene, tmp_path, dots):
    signed()
    paper = printed()
    assert read(paper, tmp_path, dots) == [f"{ROOT}p/{paper.key}/1-{paper.digest[:8]}/"]


def test_what_the_square_holds_opens_the_page_in_the_right_state(scene, tmp_path):
    signed()
    found = read(printed(), tmp_path)[0].removeprefix(ROOT.rstrip("/"))
    assert Client().get(found).status_code == 200
    assert "This paper is the latest" in text(found)
    withdraw()
    printed()
    assert "Not to dig" in text(found)
    assert "This paper is not the latest" in text(found)


def test_a_blocked_paper_has_its_square_too(scene, tmp_path):
    signed()
    withdraw()
    paper = printed()
    assert read(paper, tmp_path)[0].endswith(address(paper))


def test_a_copy_to_read_has_none(scene, as_person, tmp_path):
    signed()
    (tmp_path / "copy.pdf").write_bytes(as_person("P-REC").get("/permits/PD-1/paper.pdf").content)
    subprocess.run(["pdftoppm", "-r", "150", "-png", "-singlefile", tmp_path / "copy.pdf", tmp_path / "copy"], check=True)
    assert zxingcpp.read_barcodes(Image.open(tmp_path / "copy.png")) == []


def test_the_square_on_a_page_is_one_path():
    assert square_svg("otpauth://totp/x").count("<path") == 1
