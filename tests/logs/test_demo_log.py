"""The demo firm's log is kept by the ordinary act, and differs from its locate in one thing worth finding."""

from datetime import UTC, datetime

import pytest

from locates.logs import facts
from locates.logs.demo import LOCATE, bring_in
from locates.permits.demo import steps


@pytest.mark.django_db(transaction=True)
def test_it_covers_what_the_locate_claims_but_for_a_part_of_passive_radio(settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    at = datetime(2027, 3, 28, 22, 50, tzinfo=UTC)
    steps.bring_in(at)
    bring_in(at, "http://127.0.0.1:8000/")
    (found,) = facts.compared(facts.of_locate(LOCATE))
    (one,) = found.differences
    assert one.says.startswith("Passive radio: of 51.2 m² claimed, ")
    assert {figure.technique for figure in found.figures if figure.uses} == {"passive_power", "passive_radio", "induction"}
