"""The cast on the stage, as the journeys have it; kept files go to a folder of the test's own."""

import pytest

from tests.journeys.conftest import as_person, hands, scene

__all__ = ["as_person", "hands", "scene"]


@pytest.fixture(autouse=True)
def kept_apart(settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path / "files")
