"""Who is posted where today: the day is that of each posting's own site."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from records.firm.facts import lead_days, own_zone, posted_now
from records.firm.models import Person, Posting, RuleSet, Site

pytestmark = pytest.mark.django_db
AT = datetime(2027, 3, 3, 23, tzinfo=UTC)  # 4 March at noon east of UTC, 3 March in the afternoon west of it
OF = {"recorded_at": datetime(2027, 1, 1, tzinfo=UTC)}
ZONES = {"S-EAST": "Pacific/Auckland", "S-WEST": "Pacific/Honolulu"}


@pytest.fixture(autouse=True)
def _two_sites():
    Person.objects.create(person="P-1", name="Kim", **OF)
    for site, zone in ZONES.items():
        Site.objects.create(site=site, name=site, time_zone=zone, rule_set=RuleSet.objects.get(pk="default"), **OF)


def posted(**days):
    for site in ZONES:
        Posting.objects.create(posting=f"N-{site}", person_id="P-1", site_id=site, role="operator", **{"begins_on": date(2027, 1, 4)} | days, **OF)
    return set(posted_now(AT).values_list("site", flat=True))


def test_a_posting_of_tomorrow_has_begun_where_it_is_tomorrow_already():
    assert posted(begins_on=date(2027, 3, 4)) == {"S-EAST"}


def test_a_posting_of_yesterday_has_not_ended_where_it_is_yesterday_still():
    assert posted(ends_on=date(2027, 3, 3)) == {"S-WEST"}


def test_a_posting_without_end_lasts_at_both():
    assert posted() == set(ZONES)


def test_without_sites_nobody_is_posted_and_the_firm_s_clock_is_utc():
    Site.objects.all().delete()
    person = Person.objects.get()
    assert (posted_now(AT).exists(), own_zone(person, AT).key, lead_days(person, AT)) == (False, "UTC", 60)


def test_many_zones_cost_no_more_queries():
    of = RuleSet.objects.get(pk="default")
    for number, zone in enumerate(("Asia/Tokyo", "Europe/Oslo", "America/Lima", "Pacific/Kiritimati", "Etc/GMT+12")):
        Site.objects.create(site=f"S-{number}", name="more", time_zone=zone, rule_set=of, **OF)
    posted()
    with CaptureQueriesContext(connection) as seen:
        assert posted_now(AT).count() == 2
    assert len(seen) == 2
