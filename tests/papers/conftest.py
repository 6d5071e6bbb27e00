"""The cast on the stage, as the journeys have it; a permit signed by both; files in a folder of the test's own."""

import pytest

from locates.papers.actions import issue_paper
from locates.permits.actions import preview, sign
from records.firm.models import Person
from tests import cast
from tests.journeys.conftest import as_person, hands, scene

__all__ = ["as_person", "hands", "scene"]

ROOT = "https://permits.example/"


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path / "files")


def signed(times=2, permit="PD-1", at=cast.AT):
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept"))[:times]:
        sign(permit, person, meaning, at, preview(permit, at).seen)


def printed(at=cast.AT, person="P-REC", permit="PD-1"):
    return issue_paper(permit, Person.objects.get(pk=person), ROOT, at)
