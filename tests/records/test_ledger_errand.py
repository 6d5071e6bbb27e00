"""An errand: its entries stand or fall with what it did."""

import os
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta, timezone
from threading import Barrier, Thread

import pytest
from django.db import connection

from records.firm.models import RuleSet
from records.ledger import actions, facts
from records.ledger.actions import NothingWritten, errand
from records.ledger.chain import COMMAND_LINE, GENESIS, Actor, NotCanonical, parse
from records.ledger.models import Entry, Head

AT = datetime(2026, 3, 4, 16, tzinfo=UTC)
KIM = Actor("P-01", "Kim Aalto")
HALFWAY = """
import sys, time
import django
django.setup()
from records import clock
from records.ledger.actions import errand
from records.ledger.chain import COMMAND_LINE
with errand(COMMAND_LINE, clock.now()) as underway:
    for number in range(1500):
        underway.write("course.add", "course", f"C-{number}", "", clock.now())
    print("halfway", flush=True)
    time.sleep(60)
"""


def note(name: str = "C-01", by: Actor = KIM, at: datetime = AT) -> None:
    with errand(by, at) as underway:
        underway.write("course.add", "course", name, f"Course {name}", date(2026, 3, 1), after={"title": name})


@pytest.mark.django_db
def test_an_entry_says_who_when_what_on_which_record_from_and_to_and_why():
    with errand(KIM, AT.astimezone(timezone(timedelta(hours=13)))) as underway:
        underway.write("award.withdraw", "award", "A-1", "A-1", AT - timedelta(hours=1), {"withdrawn_on": None}, {"withdrawn_on": "2026-03-04"}, "exam void")
    assert parse(Entry.objects.get().body) == {
        "seq": 1,
        "act": "award.withdraw",
        "by": {"id": "P-01", "name": "Kim Aalto"},
        "kind": "award",
        "id": "A-1",
        "label": "A-1",
        "happened": "2026-03-04T15:00:00+00:00",
        "recorded": "2026-03-04T16:00:00+00:00",
        "before": {"withdrawn_on": None},
        "after": {"withdrawn_on": "2026-03-04"},
        "why": "exam void",
    }


@pytest.mark.django_db
def test_each_entry_links_to_the_one_before_and_the_head_is_the_last():
    note("C-01")
    note("C-02", COMMAND_LINE)
    first, second = Entry.objects.all()
    assert (first.prev, second.prev) == (GENESIS, first.hash)
    assert (Head.objects.get().seq, Head.objects.get().hash) == (2, second.hash)


@pytest.mark.django_db
def test_a_site_day_is_kept_as_a_day_and_an_instant_needs_a_zone():
    note()
    assert Entry.objects.get().happened == "2026-03-01"
    with pytest.raises(NotCanonical), errand(KIM, AT) as underway:
        underway.write("check.add", "check", "K-1", "K-1", datetime(2026, 3, 4, 16))


@pytest.mark.django_db(transaction=True)
def test_an_errand_that_fails_midway_leaves_nothing_behind(monkeypatch):
    monkeypatch.setattr(actions, "BATCH", 2)
    note()
    with pytest.raises(ZeroDivisionError), errand(KIM, AT) as underway:
        for number in range(5):
            underway.write("course.add", "course", f"C-{number}", "", AT)
        assert Entry.objects.count() == 5
        1 / 0  # noqa: B018
    assert (Entry.objects.count(), Head.objects.get().seq) == (1, 1)


@pytest.mark.django_db(transaction=True)
def test_an_errand_without_an_entry_undoes_what_it_did():
    with pytest.raises(NothingWritten, match="Kim Aalto"), errand(KIM, AT):
        RuleSet.objects.create(rule_set="quiet", recorded_at=AT)
    assert not RuleSet.objects.filter(rule_set="quiet").exists()


@pytest.mark.django_db
def test_an_errand_that_may_be_empty_leaves_the_head_where_it_was():
    note()
    with errand(KIM, AT, may_be_empty=True):
        pass
    assert Head.objects.get().seq == Entry.objects.count() == 1


@pytest.mark.django_db
def test_an_errand_within_an_errand_is_refused():
    with pytest.raises(RuntimeError, match="nested"), errand(KIM, AT) as outer:
        outer.write("course.add", "course", "C-01", "", AT)
        note("C-02")
    assert not Entry.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("value", [object(), date(2026, 3, 4), {1: "a"}, 2**53, float("nan"), "\ud800", {"\udc00": 1}, {1, 2}])
def test_what_json_cannot_say_is_refused_before_it_is_written(value):
    with pytest.raises(NotCanonical), errand(KIM, AT) as underway:
        underway.write("course.add", "course", "C-01", "", AT, after={"value": value})
    assert not Entry.objects.exists()


@pytest.mark.django_db
def test_a_clock_that_ran_back_changes_no_order_and_breaks_no_chain():
    note("C-01", at=AT)
    note("C-02", at=AT - timedelta(days=1))
    assert list(Entry.objects.values_list("subject_id", flat=True)) == ["C-01", "C-02"]
    assert facts.walked().broken is None


@pytest.mark.django_db
def test_many_entries_go_in_few_statements_and_make_one_chain(django_assert_max_num_queries):
    with django_assert_max_num_queries(60), errand(KIM, AT) as underway:
        for number in range(2500):
            underway.write("course.add", "course", f"C-{number}", "", AT)
    assert facts.walked()[::2] == (2500, None)


@pytest.mark.django_db(transaction=True)
def test_writers_at_the_same_instant_make_one_chain():
    together, failures = Barrier(4), []

    def worker(name: str) -> None:
        try:
            together.wait()
            for number in range(15):
                note(f"{name}-{number}")
        except Exception as trouble:
            failures.append(trouble)
        finally:
            connection.close()

    threads = [Thread(target=worker, args=(f"T{number}",)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert (facts.walked().length, facts.walked().broken, list(facts.head_faults(facts.walked()))) == (60, None, [])


def address() -> str:
    """The tests' database as DATABASE_URL says it."""
    at = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{at['NAME']}"
    return f"postgres://{at['USER']}:{at['PASSWORD']}@{at['HOST']}:{at['PORT']}/{at['NAME']}"


@pytest.mark.django_db(transaction=True)
def test_a_process_killed_halfway_leaves_nothing_behind_and_nobody_waiting():
    note("C-01")
    connection.close()
    surroundings = {**os.environ, "DATABASE_URL": address(), "DJANGO_SETTINGS_MODULE": "records.settings"}
    with subprocess.Popen([sys.executable, "-c", HALFWAY], env=surroundings, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout.readline() == "halfway\n"
        process.kill()
    note("C-02")
    assert list(Entry.objects.values_list("subject_id", flat=True)) == ["C-01", "C-02"]
    assert (facts.walked().broken, list(facts.head_faults(facts.walked()))) == (None, [])
