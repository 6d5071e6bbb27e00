"""The list of permits: which, in which order, and what each line says."""

import csv
import re
from datetime import date, timedelta
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.permits.actions import preview, sign
from locates.permits.lists import MENDING
from locates.permits.models import Permit
from records.firm.models import Posting, Site
from records.spreadsheet import harmless
from tests import cast
from tests.house.source import ROOT
from training.models import Award

pytestmark = [pytest.mark.everywhere, pytest.mark.usefixtures("scene")]
DAY = timedelta(days=1)


@pytest.fixture
def more(scene):
    """Permits of other days, another site and another state beside PD-1, which is clear and today's."""
    Site.objects.create(site="S-2", name="Mill lane", time_zone="Pacific/Honolulu", rule_set_id="default", recorded_at=cast.RECORDED)
    for key, person in (("N-21", "P-ISS"), ("N-22", "P-REC")):
        Posting.objects.create(posting=key, person_id=person, site_id="S-2", role="supervisor", begins_on=date(2027, 1, 4), recorded_at=cast.RECORDED)
    cast.permit("PD-2", locate_id=None, work="Post holes")
    cast.permit("PD-3", valid_from=cast.AT + 2 * DAY, valid_to=cast.AT + 3 * DAY)
    cast.permit("PD-4", valid_from=cast.AT - 4 * DAY, valid_to=cast.AT - 3 * DAY)
    cast.permit("PD-5", valid_from=cast.AT - 9 * DAY, valid_to=cast.AT - 8 * DAY, site_id="S-2")


def shown(client, **asked):
    return [line.permit.permit for line in client.get("/permits/", asked).context["lines"]]


def text(client, **asked):
    return client.get("/permits/", asked).content.decode()


def test_todays_come_first_then_the_coming_then_the_latest_that_are_over(as_person, more):
    lines = as_person("P-ISS").get("/permits/").context["lines"]
    assert [(line.heading, line.permit.permit) for line in lines] == [
        ("Today", "PD-1"),
        ("Today", "PD-2"),
        ("Coming", "PD-3"),
        ("Over", "PD-4"),
        ("Over", "PD-5"),
    ]


@pytest.mark.parametrize(("begins", "turn"), [(0, "Today"), (14.5, "Today"), (15.5, "Coming"), (-9.5, "Over"), (-8.5, "Today")])
def test_today_is_the_day_at_the_site(as_person, begins, turn):
    """It is 08:30 there: midnight lies 8.5 hours back and 15.5 hours ahead."""
    begins = cast.AT + timedelta(hours=begins)
    cast.permit("PD-9", valid_from=begins, valid_to=begins + timedelta(minutes=30))
    assert {line.permit.permit: line.heading for line in as_person("P-ISS").get("/permits/").context["lines"]}["PD-9"] == turn


def test_a_clear_permit_says_when_it_ends_and_how_long_its_evidence_holds(as_person):
    said = text(as_person("P-ISS"))
    assert "May be issued" in said and "Ends tomorrow." in said
    assert "until 11 Mar 2027 07:30 UTC+13:00" in said and "in 7 days" in said
    assert '4 Mar 2027 07:30</span> to <span class="nowrap">5 Mar 2027 14:30 UTC+13:00' in said


def test_a_line_says_that_nobody_digs_yet_until_both_have_signed(as_person):
    assert "No digging yet: nobody has signed." in text(as_person("P-ISS"))
    for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)
    assert "No digging yet" not in text(as_person("P-ISS"))


def test_a_blocked_permit_says_the_first_thing_to_mend_and_how_many_more(as_person):
    cast.permit("PD-2", locate_id=None, valid_from=cast.AT - 4 * DAY, valid_to=cast.AT - 3 * DAY)
    line = as_person("P-ISS").get("/permits/").context["lines"][1]
    assert (line.word, line.first.code, line.more) == ("Not to dig", "window.past", 1)


def test_a_blocked_permit_says_if_it_was_signed_before(as_person):
    sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)
    Award.objects.filter(award="A-REC").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")
    said = text(as_person("P-ISS"))
    assert "Not to dig" in said and "Quay yard · issued" in said


def test_every_section_that_blocks_has_its_place_in_the_order_of_mending():
    rules = "".join(path.read_text() for path in (ROOT / "locates/permits/rules").glob("*.py"))
    sections = set(re.findall(r'"([a-z]+)\.[a-z_{]+', rules)) - {"depth", "due", "rules", "sweep", "trace"}  # these only caution
    assert sections <= set(MENDING)
    assert len(sections) > 6


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"search": "post"}, ["PD-2"]),
        ({"search": "PD-3"}, ["PD-3"]),
        ({"search": "mill"}, ["PD-5"]),
        ({"search": "Sana Wren", "site": "S-2"}, ["PD-5"]),
        ({"search": "nothing like it"}, []),
        ({"site": "S-2"}, ["PD-5"]),
        ({"state": "issued"}, []),
        ({"state": "prepared", "site": "S-2"}, ["PD-5"]),
        ({"verdict": "clear"}, ["PD-1", "PD-3"]),
        ({"verdict": "blocked"}, ["PD-2"]),
        ({"sort": "permit"}, ["PD-1", "PD-2", "PD-3", "PD-4", "PD-5"]),
        ({"sort": "site"}, ["PD-5", "PD-1", "PD-2", "PD-3", "PD-4"]),
        ({"sort": "begins"}, ["PD-5", "PD-4", "PD-1", "PD-2", "PD-3"]),
        ({"sort": "ends"}, ["PD-5", "PD-4", "PD-1", "PD-2", "PD-3"]),
        ({"sort": "latest"}, ["PD-3", "PD-1", "PD-2", "PD-4", "PD-5"]),
    ],
)
def test_it_can_be_narrowed_and_put_in_order(as_person, more, asked, found):
    assert shown(as_person("P-ISS"), **asked) == found


def test_what_cannot_be_understood_is_said_at_its_field_and_narrows_nothing(as_person, more):
    said = text(as_person("P-ISS"), sort="colour", site="S-404", state="prepared")
    assert said.count("Select a valid choice") == 2
    assert 'value="prepared" selected' in said


@pytest.mark.parametrize("asked", [{"search": "\0"}, {"site": "\0"}, {"site": "S-1\0"}, {"page": "-1"}, {"page": "9" * 400}, {"verdict": "\0"}])
def test_rubbish_in_the_address_is_no_fault_of_ours(as_person, asked):
    assert as_person("P-ISS").get("/permits/", asked).status_code == 200


def test_only_sites_of_permits_that_one_may_see_are_offered(as_person, more):
    cast.permit("PD-6", site_id="S-2", locate_id=None, receiver_id="P-FAR")
    assert ("Quay yard" in text(as_person("P-FAR")), "Mill lane" in text(as_person("P-FAR"))) == (False, True)


@pytest.mark.parametrize(
    ("person", "count"),
    [("P-ISS", 5), ("P-SAF", 5), ("P-REC", 5), ("P-CR1", 5), ("P-CR2", 5), ("P-OPE", 4), ("P-FAR", 0)],
)
def test_supervisors_see_their_sites_safety_managers_all_others_what_bears_their_name(as_person, more, person, count):
    """PD-2 names no locate, so not its operator either. P-ISS and P-REC are posted to both sites."""
    assert len(shown(as_person(person))) == count


def test_fifty_stand_on_a_page_and_the_links_keep_what_was_asked_for(as_person):
    for one in range(60):
        cast.permit(f"PX-{one:02}", locate_id=None)
    client = as_person("P-ISS")
    assert (len(shown(client)), len(shown(client, page="2")), len(shown(client, page="rubbish"))) == (50, 11, 50)
    assert "?search=trench&amp;page=2" in text(client, search="trench")


def queries(client, address):
    with CaptureQueriesContext(
        connection,
    ) as made:
        assert b"".join(client.get(address)) != b""
    return len(made)


@pytest.mark.parametrize("address", ["/permits/", "/permits/?verdict=clear", "/permits/?search=a&sort=site", "/permits.csv"])
def test_the_number_of_queries_does_not_grow_with_the_list(as_person, address):
    client = as_person("P-ISS")
    before = queries(client, address)
    for one in range(45):
        cast.permit(f"PX-{one:02}", method="vacuum")
    assert queries(client, address) == before


def rows(client, **asked):
    answered = client.get("/permits.csv", asked)
    assert answered.headers["Content-Type"] == "text/csv; charset=utf-8"
    return list(csv.DictReader(StringIO(b"".join(answered).decode("utf-8-sig"))))


def test_the_csv_file_holds_what_is_shown(as_person, more):
    client = as_person("P-ISS")
    assert [row["permit"] for row in rows(client, verdict="clear", sort="latest")] == shown(client, verdict="clear", sort="latest")
    assert [row["permit"] for row in rows(as_person("P-FAR"))] == []


def test_a_row_of_the_csv_file_says_the_verdict_with_every_reason(as_person):
    cast.permit("PD-2", locate_id=None)
    first, second = rows(as_person("P-ISS"), sort="permit")
    assert (first["verdict"], first["good_until"], first["limited_by"], first["signatures"]) == ("no block", "2027-03-11T07:30:00+13:00", "permit", "prepared")
    assert (second["verdict"], second["blocks"], second["good_until"]) == ("blocked", "The permit names no locate.", "")


def test_every_page_of_the_list_is_in_the_csv_file(as_person):
    for one in range(210):
        cast.permit(f"PX-{one:03}", locate_id=None)
    assert len({row["permit"] for row in rows(as_person("P-ISS"))}) == 211


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n", "\0"])
def test_a_cell_that_a_spreadsheet_would_run_is_made_plain_text(start):
    assert harmless(f"{start}1+1") == f"'{start}1+1"
    assert harmless(f"a{start}") == f"a{start}"


def test_formulas_in_records_stay_harmless_in_the_file(as_person):
    Permit.objects.update(work='=HYPERLINK("x")')
    assert rows(as_person("P-ISS"))[0]["work"] == '\'=HYPERLINK("x")'


@pytest.mark.parametrize(("person", "told"), [("P-SAF", "Prepare the first"), ("P-ISS", "manage.py load FOLDER"), ("P-FAR", "as soon as one names you")])
def test_an_empty_list_says_what_to_do_next(as_person, person, told):
    Permit.crew.through.objects.all().delete()
    Permit.objects.all().delete()
    assert told in text(as_person(person))


def test_markup_in_a_record_is_only_text(as_person):
    Permit.objects.update(work="<script>alert(1)</script>")
    assert "&lt;script&gt;alert(1)" in text(as_person("P-ISS"))
    assert "<script>" not in text(as_person("P-ISS"))
