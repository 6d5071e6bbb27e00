"""`manage.py verify` finds what was done behind the history's back."""

import json
from datetime import UTC, datetime
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.permits.models import SignOff
from locates.permits.witness import ACT, KIND, told
from records.ledger.actions import errand
from records.ledger.chain import GENESIS, Actor, Link, digest, forged, parse
from records.ledger.guards import all_guards
from records.ledger.models import Entry, Head
from records.ledger.triggers import lift_guards, raise_guards
from tests.locates.stored import ground, signed_off, surveyed

AT = datetime(2026, 3, 4, 16, tzinfo=UTC)
KIM = Actor("P-01", "Kim Aalto")

pytestmark = pytest.mark.django_db


@pytest.fixture
def five_entries():
    with errand(KIM, AT) as underway:
        for number in range(1, 6):
            underway.write("course.add", "course", f"C-{number}", f"C-{number}", AT, after={"title": "Älv 😀"})


@pytest.fixture
def signed():
    """A signed permit with its entry, the second of three."""
    ground()
    surveyed("a", AT.replace(hour=9))
    with errand(KIM, AT) as underway:
        underway.write("permit.add", "permit", "PTD-a", "PTD-a", AT)
        made = signed_off("PTD-a")
        underway.write(ACT, KIND, "PTD-a", str(made), AT, after=told(made))
        underway.write("course.add", "course", "C-1", "C-1", AT)
    return made


def tampered(*statements):
    """Take the guards away, as somebody with the database's own keys can, change things, and put them back."""
    connection.check_constraints()
    lift_guards(connection, all_guards())
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
    connection.check_constraints()
    raise_guards(connection, all_guards())


def verify(*words):
    """Its exit status and what it prints."""
    said = StringIO()
    try:
        call_command("verify", *words, stdout=said)
    except SystemExit as end:
        return end.code, said.getvalue()
    return 0, said.getvalue()


def test_an_empty_history_holds():
    assert verify() == (0, f"The chain holds: 0 entries, head {GENESIS}\n")


def test_a_sound_history_holds_and_tells_its_length_and_head(five_entries):
    assert verify() == (0, f"The chain holds: 5 entries, head {Entry.objects.get(seq=5).hash}\n")
    assert json.loads(verify("--json")[1]) == {"entries": 5, "head": Entry.objects.get(seq=5).hash, "broken": None, "faults": []}


@pytest.mark.parametrize(
    ("statement", "seq", "why"),
    [
        ("UPDATE ledger_entry SET actor_name = 'Lee Bond' WHERE seq = 3", 3, "its columns differ from its body"),
        ("UPDATE ledger_entry SET recorded_at = '2026-03-04 15:00:00+00:00' WHERE seq = 2", 2, "its columns differ from its body"),
        ("UPDATE ledger_entry SET body = REPLACE(body, 'C-4', 'C-9'), subject_id = 'C-9' WHERE seq = 4", 4, "its body is not the one that was hashed"),
        ("UPDATE ledger_entry SET prev = 'f' WHERE seq = 5", 5, "it does not link to the entry before it"),
        ("DELETE FROM ledger_entry WHERE seq = 3", 4, "entry 3 is missing"),
        ("DELETE FROM ledger_entry WHERE seq = 1", 2, "entry 1 is missing"),
    ],
)
def test_the_first_entry_that_fails_is_named(five_entries, statement, seq, why):
    tampered(statement)
    status, said = verify()
    assert (status, said.splitlines()[0]) == (1, f"FAILS at entry {seq}: {why}")
    assert json.loads(verify("--json")[1])["broken"] == {"seq": seq, "why": why}


@pytest.mark.parametrize("tail", ["DELETE FROM ledger_entry WHERE seq = 5", "DELETE FROM ledger_entry"])
def test_a_tail_that_was_cut_off_is_found_by_the_head(five_entries, tail):
    tampered(tail)
    assert (verify()[0], "the head of the chain says entry 5" in verify()[1]) == (1, True)


def test_an_entry_slipped_in_past_the_head_is_found(five_entries):
    last = Link._make(Entry.objects.filter(seq=5).values_list(*Link._fields).get())
    Entry.objects.create(**forged(last._replace(seq=6, prev=last.hash), None, None)._asdict())
    assert (verify()[0], "which is not the last one" in verify()[1]) == (1, True)


def test_a_head_that_is_gone_is_found(five_entries):
    tampered("DELETE FROM ledger_head")
    assert (verify()[0], "the head of the chain is gone" in verify()[1]) == (1, True)


def test_a_history_written_anew_from_the_start_is_found_by_a_head_noted_before(five_entries):
    noted = Head.objects.get().hash
    assert verify("--noted", noted)[0] == 0
    rewrite()
    assert verify()[0] == 0
    assert (verify("--noted", noted)[0], "written anew" in verify("--noted", noted)[1]) == (1, True)


def rewrite():
    """What the owner of the database can do without a trace inside it."""
    links, prev = [], GENESIS
    for old in map(Link._make, Entry.objects.values_list(*Link._fields)):
        links.append(forged(old._replace(prev=prev, actor_name="Lee Bond"), None, None))
        prev = links[-1].hash
    tampered("DELETE FROM ledger_entry", "DELETE FROM ledger_head")
    Entry.objects.bulk_create([Entry(**one._asdict()) for one in links])
    Head.objects.create(seq=len(links), hash=prev)


def test_a_missing_guard_is_a_fault_of_its_own(five_entries):
    lift_guards(connection, [one for one in all_guards() if one.name == "ledger_entry_no_delete"])
    status, said = verify()
    assert (status, said.splitlines()[0]) == (1, "FAILS: the guard ledger_entry_no_delete is missing")


def test_a_signature_as_the_history_tells_it_holds(signed):
    assert verify()[0] == 0


@pytest.mark.parametrize(
    ("statement", "faults"),
    [
        ('UPDATE permits_signoff SET sheet = \'{{"work":"more"}}\'', ["PTD-a/issue: what is stored is not what was signed"]),
        (
            "UPDATE permits_signoff SET sheet = '[]', digest = '{digest}'",
            ["PTD-a/issue: the history has no such signature", "entry 2 tells of a signature that is not stored: PTD-a/issue"],
        ),
        (
            "UPDATE permits_signoff SET printed_name = 'Lee Bond'",
            ["PTD-a/issue: the history has no such signature", "entry 2 tells of a signature that is not stored: PTD-a/issue"],
        ),
        (
            "UPDATE permits_signoff SET verdict = '[]'",
            ["PTD-a/issue: the history has no such signature", "entry 2 tells of a signature that is not stored: PTD-a/issue"],
        ),
        ("DELETE FROM permits_signoff", ["entry 2 tells of a signature that is not stored: PTD-a/issue"]),
    ],
)
def test_a_signature_altered_or_taken_away_is_found(signed, statement, faults):
    tampered(statement.format(digest=digest("[]")))
    status, said = verify("--json")
    assert (status, json.loads(said)["faults"]) == (1, faults)


def test_a_signature_that_the_history_never_heard_of_is_found():
    ground()
    surveyed("a", AT.replace(hour=9))
    signed_off("PTD-a")
    assert json.loads(verify("--json")[1])["faults"] == ["PTD-a/issue: the history has no such signature"]


@pytest.mark.parametrize("column", [one.name for one in SignOff._meta.fields if one.name not in ("id", "permit", "recorded_at")])
def test_what_the_history_tells_of_a_signature_covers_each_of_its_columns(signed, column):
    before = told(signed)
    setattr(signed, SignOff._meta.get_field(column).attname, AT.replace(hour=3) if column == "signed_at" else "another")
    changed_sheet = column == "sheet" and digest(signed.sheet) != signed.digest
    assert told(signed) != before or changed_sheet


def test_verifying_takes_no_more_queries_for_more_entries(five_entries, django_assert_num_queries):
    with CaptureQueriesContext(connection) as few:
        verify()
    with errand(KIM, AT) as underway:
        for number in range(2500):
            underway.write("course.add", "course", f"C-{number}", f"C-{number}", AT)
    with django_assert_num_queries(len(few)):
        assert verify()[0] == 0


def test_the_body_keeps_text_in_any_script(five_entries):
    assert parse(Entry.objects.get(seq=1).body)["after"] == {"title": "Älv 😀"}
