"""The demo firm's diaries are written whenever the firm is made."""

from datetime import UTC, datetime

import pytest

from locates.lookovers.demo import DIARIES, write_some
from locates.lookovers.facts import doubted, owed_by, rows_of
from locates.papers.demo import live
from locates.permits.demo import steps
from records.ledger.facts import signature_faults, walked


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("at", [datetime(2027, 3, 1, 0, 10, tzinfo=UTC), datetime(2027, 3, 28, 22, 50, tzinfo=UTC)], ids=str)
def test_the_day_before_was_looked_over_swept_and_dug_and_today_one_is_owed(at):
    steps.bring_in(at)
    live(at, "http://127.0.0.1:8000/")
    write_some(at, "http://127.0.0.1:8000/")
    found = rows_of(DIARIES)
    kinds = {permit: [row.kind for row in rows] for permit, rows in found.items()}
    assert kinds == {"Q-121": ["look_over", "sweep", "event", "look_over"], "Q-122": ["look_over"], "Q-131": ["look_over"]}
    assert list(doubted(found["Q-121"], at).values()) == [["RX-12 had not been checked before use"]]
    assert owed_by(DIARIES, at)["Q-121"][0].occasion == "start"
    assert (list(signature_faults()), walked().broken) == ([], None)
