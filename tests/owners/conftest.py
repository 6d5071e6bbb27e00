"""The cast on the stage, as the journeys have it."""

from tests.journeys.conftest import as_person, hands, scene

__all__ = ["as_person", "hands", "scene"]
