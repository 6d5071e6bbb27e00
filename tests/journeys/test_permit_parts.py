"""What other apps have to say of a permit stands on its page, after its life, in the order of the setting that names them."""

import copy

import pytest

from tests import cast

pytestmark = pytest.mark.usefixtures("scene")


def says(permit, reader, at):
    return {"template": "said.html", "says": f"{reader.name} reads {permit.pk} at {at:%H:%M}"}


def silent(permit, reader, at):
    return None


@pytest.fixture
def parted(settings, tmp_path):
    (tmp_path / "said.html").write_text("<p>{{ part.says }}</p>")
    engines = copy.deepcopy(settings.TEMPLATES)
    engines[0]["DIRS"] = [*engines[0]["DIRS"], tmp_path]
    settings.TEMPLATES = engines
    settings.PERMIT_PARTS = [f"{__name__}.silent", f"{__name__}.says"]


def test_each_part_is_told_the_permit_its_reader_and_the_instant(as_person, parted):
    page = as_person("P-ISS").get("/permits/PD-1/")
    assert f"<p>Ines Harrow reads PD-1 at {cast.AT:%H:%M}</p>" in page.content.decode()
    assert [part["template"] for part in page.context["parts"]] == ["said.html"]
