"""Who is gone, and who may stand in: by their awards and their last day, at the site's own clock."""

from datetime import date, timedelta

import pytest

from locates.life.rules.stead import fit, gone
from locates.permits.rules.evidence import Person
from records.rules.cover import Award
from records.rules.dates import day_start
from tests.rules.cast import clear

ZONE = clear().site.zone
DAY = date(2027, 3, 4)
THING = "receive_permit"
INSTANT = timedelta(seconds=1)


def person(left_on=None, **award):
    return Person("P-1", "Rena Sorrel", left_on, (Award("A-1", frozenset({THING}), date(2026, 1, 1), **award),))


AT = day_start(DAY, ZONE) + timedelta(hours=9)
CASES = [
    (person(), False, True),
    (person(left_on=DAY), False, True),
    (person(left_on=DAY - timedelta(days=1)), True, False),
    (person(withdrawn_on=DAY), True, False),
    (person(withdrawn_on=DAY + timedelta(days=1)), False, True),
    (person(expires_on=DAY), False, True),
    (person(expires_on=DAY - timedelta(days=1)), False, False),
    (Person("P-1", "Rena Sorrel"), False, False),
]


@pytest.mark.parametrize(("who", "is_gone", "is_fit"), CASES)
def test_gone_is_who_left_or_lost_it_and_fit_is_who_has_it_now(who, is_gone, is_fit):
    assert (gone(who, THING, ZONE, AT), fit(who, THING, ZONE, AT)) == (is_gone, is_fit)


def test_the_last_day_is_the_site_s_own_to_its_last_instant():
    leaving, midnight = person(left_on=DAY), day_start(DAY + timedelta(days=1), ZONE)
    assert [gone(leaving, THING, ZONE, at) for at in (midnight - INSTANT, midnight)] == [False, True]


def test_another_award_for_it_keeps_them_there():
    other = Award("A-2", frozenset({THING}), DAY + timedelta(days=-1))
    kept = Person("P-1", "Rena Sorrel", None, (*person(withdrawn_on=DAY - timedelta(days=2)).awards, other))
    assert not gone(kept, THING, ZONE, AT) and fit(kept, THING, ZONE, AT)
