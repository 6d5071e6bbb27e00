"""The history's pages: who sees them, what they find, and how far back."""

import csv
import io

import pytest

from records.ledger.actions import errand
from records.ledger.chain import Actor
from records.ledger.facts import each, happened_says, shown, told_of
from records.ledger.models import Entry
from records.ledger.views import _like
from records.rules.kinds import UTC_ZONE
from tests import cast

pytestmark = pytest.mark.everywhere

CHANGED = '<th scope="row">on</th><td data-label="Before"><s>2027-01-01</s></td><td data-label="After">2027-01-02</td>'
BY = Actor("P-SAF", "Sal Fennick")


def written(count=1, kind="award", subject="A-OPE", label="A-OPE", why="", act="award.changed"):
    with errand(BY, cast.AT) as underway:
        for _ in range(count):
            underway.write(act, kind, subject, label, cast.AT, before={"on": "2027-01-01"}, after={"on": "2027-01-02"}, why=why)


def seqs(answer):
    return [one.seq for one, _ in answer.context["lines"]]


@pytest.mark.parametrize("path", ["/history/", "/history.csv", "/history/1/"])
def test_only_who_may_see_the_history_sees_it(as_person, path):
    written()
    assert as_person("P-SAF").get(path).status_code == 200
    assert as_person("P-OPE").get(path).status_code == 404


def test_the_newest_stands_first_and_every_entry_is_reached_once(as_person):
    written(120)
    client, found, address = as_person("P-SAF"), [], "/history/"
    while address:
        answer = client.get(address)
        found += seqs(answer)
        below = answer.context["below"]
        address = f"/history/?below={below}" if below else ""
    assert found == sorted(Entry.objects.values_list("seq", flat=True), reverse=True)


@pytest.mark.parametrize(
    "asked, many", [("kind=site", 1), ("subject=S-9", 1), ("actor=fennick", 3), ("act=opened", 1), ("through=2027-03-02", 0), ("since=2027-03-03", 3)]
)
def test_entries_are_found_by_what_is_asked(as_person, asked, many):
    written(2)
    written(1, "site", "S-9", "North field", act="site.opened")
    assert len(seqs(as_person("P-SAF").get(f"/history/?{asked}"))) == many


@pytest.mark.parametrize(
    "asked", ["kind=%00", "actor=a%00b", "since=0001-01-01", "through=9999-12-31", "since=nonsense", "below=x", "below=%C2%B2", "below=999999999", "password=a"]
)
def test_noise_in_the_address_is_no_stumble(as_person, asked):
    written()
    assert as_person("P-SAF").get(f"/history/?{asked}").status_code == 200
    assert as_person("P-SAF").get(f"/history.csv?{asked}").status_code == 200


@pytest.mark.parametrize("kind, subject", [("award", "A-OPE"), ("site", ""), ("office", "a/b c"), ("a.b", "x")])
def test_an_entry_of_any_subject_shows_what_changed_and_its_hash(as_person, kind, subject):
    written(1, kind, subject, "label", "Read wrongly", f"{kind}.changed")
    last = Entry.objects.latest("seq")
    page = as_person("P-SAF").get(f"/history/{last.seq}/").content.decode()
    assert CHANGED in page and "Read wrongly" in page and last.hash in page and last.prev in page


def test_an_entry_that_is_not_there_is_a_plain_404(as_person):
    client = as_person("P-SAF")
    assert [client.get(f"/history/{seq}/").status_code for seq in ("0", "999999", "9" * 30)] == [404, 404, 404]


def test_a_formula_in_the_file_is_no_formula(as_person):
    written(label="=HYPERLINK(1)")
    rows = list(csv.reader(io.StringIO(b"".join(as_person("P-SAF").get("/history.csv")).decode("utf-8-sig"))))
    assert len(rows) == 2 and not rows[1][rows[0].index("printed")].startswith("=")


def test_a_records_own_history_says_what_was_there_before(scene):
    written(why="Read wrongly")
    (told,) = told_of("award", "A-OPE", UTC_ZONE)
    assert (told.did, told.by, told.why, told.changes) == ("changed", "Sal Fennick", "Read wrongly", (("on", "2027-01-01", "2027-01-02"),))


@pytest.mark.parametrize("count", [10, 1000])
def test_queries_of_a_page_do_not_grow(as_person, django_assert_max_num_queries, count):
    written(count)
    client = as_person("P-SAF")
    with django_assert_max_num_queries(8):
        client.get("/history/")


def test_an_entry_says_in_the_readers_own_zone_when_it_happened_and_was_recorded(as_person):
    written()
    page = as_person("P-SAF").get(f"/history/{Entry.objects.latest('seq').seq}/").content.decode()
    assert page.count("4 Mar 2027 08:30 UTC+13:00</time>") == 2
    assert '<time datetime="2027-03-03T19:30:00+00:00">' in page


def test_a_day_stays_the_day_that_it_was_at_its_site_and_what_is_no_time_stays_as_it_is():
    assert [happened_says(one, UTC_ZONE) for one in ("2027-03-04", "2027-03-03T19:30:00+00:00", "long ago", "2027-99-99")] == [
        "4 Mar 2027",
        "3 Mar 2027 19:30 UTC+00:00",
        "long ago",
        "2027-99-99",
    ]


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (None, ""),
        ("", ""),
        ("a;b", "a;b"),
        (True, "yes"),
        (1, "1"),
        (["a", ["b", 2]], "a, b, 2"),
        ({"sent_on": "2027-01-02", "ok": False}, "sent on: 2027-01-02; ok: no"),
    ],
)
def test_what_an_entry_holds_is_read_as_words_and_not_as_terms(value, says):
    assert shown(value) == says


@pytest.mark.parametrize("count", [0, 1, 3])
def test_every_value_of_a_column_is_read_once_and_in_order(scene, count):
    for number in range(count):
        written(2, kind=f"kind {number}", act=f"kind {number}.seen")
    assert each("kind") == [f"kind {number}" for number in range(count)]


def test_an_identifier_is_taken_before_a_part_of_a_name(as_person):
    written()
    with errand(Actor("P-OPE", "Aunt of P-SAF"), cast.AT) as underway:
        underway.write("award.changed", "award", "A", "A", cast.AT)
    client = as_person("P-SAF")
    assert [len(seqs(client.get(f"/history/?actor={one}"))) for one in ("P-SAF", "aunt", "AUNT OF", "nobody")] == [1, 1, 1, 0]


def test_a_page_of_some_act_or_somebody_is_read_off_an_index(scene):
    for asked in ({"act": "changed"}, {"actor": "P-SAF"}, {"actor": "fennick"}):
        written()
        assert "ledger_entry_act" in _like(asked)[:50].explain(), asked
