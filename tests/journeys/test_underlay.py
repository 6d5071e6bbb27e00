"""A picture under the sketch: chosen or brought, laid by points that are touched without a script, and shown north up."""

import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from locates.fieldwork.models import FieldSheet, Underlay
from records.files.models import Attachment
from records.ledger.models import Entry
from tests.journeys.locating import SHEET, begun, text_of
from tests.records.test_files import picture

pytestmark = pytest.mark.usefixtures("scene")
PAGE = f"/field/{SHEET}/underlay/"


@pytest.fixture
def client(as_person, settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    made = as_person("P-OPE")
    begun(made)
    return made


def brought(client, size=(1280, 960)):
    answer = client.post(PAGE, {"do": "bring", "picture": SimpleUploadedFile("plan.png", picture(size=size))})
    assert answer.status_code == 302
    return Attachment.objects.get(what="underlay").key


def points(client, key, *told):
    """Hand in the points one after the other, and give the last page."""
    page, so_far = None, ""
    for col, row, x, y in told:
        page = client.post(PAGE, {"do": "add", "picture": key, "points": so_far, "col": col, "row": row, "x": x, "y": y})
        so_far = page.context["points"]
    return page


SQUARE = (("0", "960", "90", "90"), ("1280", "960", "122", "90"))  # 40 pixels a metre, north up


def laid(client):
    key = brought(client)
    so_far = points(client, key, *SQUARE).context["points"]
    return key, client.post(PAGE, {"do": "lay", "picture": key, "points": so_far})


def test_a_picture_is_laid_by_two_points_and_shown_north_up_where_they_put_it(client):
    _, answer = laid(client)
    assert answer["Location"] == f"/field/{SHEET}/"
    told = client.get(f"/field/{SHEET}/sketch.json").json()["underlay"]
    assert told["extent"] == pytest.approx([90, 90, 122, 114])
    assert any("Two points always fit" in one for one in told["doubts"])
    shown = client.get(told["src"])
    assert (shown["Content-Type"], shown["Keep-For"]) == ("image/webp", "P-OPE")
    with Image.open(io.BytesIO(shown.content)) as raster:
        assert raster.width / raster.height == pytest.approx(4 / 3, rel=0.01)


def test_touching_the_picture_gives_the_pixel_at_its_full_size(client):
    key = brought(client)
    page = client.post(PAGE, {"picture": key, "points": "", "at.x": "320", "at.y": "100"})
    assert (page.context["form"]["col"].value(), page.context["form"]["row"].value()) == ("640", "200")
    small = client.get(f"{PAGE}{key}.webp")
    with Image.open(io.BytesIO(small.content)) as shown:
        assert shown.size == (page.context["wide"], page.context["high"]) == (640, 480)


def test_a_third_point_that_does_not_fit_is_told_before_it_is_laid(client):
    page = points(client, brought(client), *SQUARE, ("0", "0", "80", "114"))
    assert "The points do not fit" in text_of(page)


def test_the_last_point_is_taken_back(client):
    key = brought(client)
    page = points(client, key, *SQUARE)
    page = client.post(PAGE, {"do": "back", "picture": key, "points": page.context["points"]})
    assert len(page.context["known"]) == 1


@pytest.mark.parametrize("told", [{"x": "east"}, {"col": ""}])
def test_a_point_that_cannot_be_read_is_refused_at_its_field(client, told):
    key = brought(client)
    page = client.post(PAGE, {"do": "add", "picture": key, "points": "", "col": "1", "row": "1", "x": "1", "y": "1"} | told)
    assert page.status_code == 422 and "expected" in text_of(page)


@pytest.mark.parametrize("told", ["", "0 0 1 1", "0 0 1 1\n0 0 5 5", "a b c d\n1 2 3 4"])
def test_points_that_lay_nothing_are_refused_and_nothing_is_kept(client, told):
    key = brought(client)
    before = Entry.objects.count()
    assert client.post(PAGE, {"do": "lay", "picture": key, "points": told}).status_code == 422
    assert not Underlay.objects.exists() and Entry.objects.count() == before


def test_what_is_no_picture_is_refused(client):
    answer = client.post(PAGE, {"do": "bring", "picture": SimpleUploadedFile("plan.pdf", b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\n%%EOF")})
    assert answer.status_code == 422 and not Attachment.objects.filter(what="underlay").exists()


def test_another_lay_replaces_it_and_taking_it_away_leaves_the_history(client):
    key, _ = laid(client)
    again = points(client, key, ("0", "960", "100", "90"), ("1280", "960", "132", "90")).context["points"]
    client.post(PAGE, {"do": "lay", "picture": key, "points": again})
    assert Underlay.objects.get().points == again
    before = json.loads(Entry.objects.filter(act="underlay.laid").latest("seq").body)["before"]
    assert before["points"].splitlines()[0] == "0 960 90 90"
    client.post(PAGE, {"do": "away"})
    assert not Underlay.objects.exists() and Entry.objects.filter(act="underlay.taken_away").exists()
    assert client.get(f"/field/{SHEET}/sketch.json").json()["underlay"] is None
    assert client.get(f"{PAGE}lies.webp").status_code == 404


def test_nobody_else_sees_it(client, as_person):
    key, _ = laid(client)
    for person in ("P-FAR", "P-CR1"):
        other = as_person(person)
        assert {other.get(f"{PAGE}{one}").status_code for one in ("", "lies.webp", f"{key}.webp", f"?picture={key}")} == {404}
    assert FieldSheet.objects.count() == 1
