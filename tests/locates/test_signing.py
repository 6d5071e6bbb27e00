"""The act of signing: issue, then accept, each upon a verdict made afresh; or a refusal, and nothing signed."""

from datetime import date, timedelta

import pytest
from django.db import connection, transaction

from locates.instruments.models import Instrument
from locates.permits.actions import REFUSED, Changed, NotTheirs, OutOfTurn, Refused, preview, sign
from locates.permits.models import Permit, SignOff
from locates.permits.rules.signing import ACCEPT, DECLARATIONS, ISSUE
from locates.surveys.models import Enquiry, Locate, Sweep, Trace
from records.firm.models import Site
from records.ledger.chain import digest, parse
from records.ledger.facts import signature_faults
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards
from tests import cast
from training.models import Award

pytestmark = pytest.mark.django_db
LATER = cast.AT + timedelta(minutes=5)


def issued():
    cast.everything()
    return sign("PD-1", "P-ISS", ISSUE, cast.AT, preview("PD-1", cast.AT).seen)


def withdraw(award):
    Award.objects.filter(award=award).update(withdrawn_on=date(2027, 3, 1), withdrawn_because="unsafe work seen")


def test_a_signature_keeps_who_when_what_it_means_and_upon_exactly_what():
    made = issued()
    assert (made.printed_name, made.signed_at, made.meaning, made.declaration) == ("Ines Harrow", cast.AT, ISSUE, DECLARATIONS[ISSUE])
    assert made.digest == digest(made.sheet)
    assert parse(made.verdict)["blocks"] == []


def test_the_receiver_accepts_after_the_issuer_on_a_sheet_that_bears_both_names():
    first = issued()
    second = sign("PD-1", "P-REC", ACCEPT, LATER, preview("PD-1", LATER).seen)
    assert second.digest != first.digest
    assert "Ines Harrow" in second.sheet
    assert first.digest in second.sheet


def test_each_signature_leaves_one_entry_in_the_history():
    issued()
    entries = Entry.objects.filter(act="permit.sign")
    assert [(one.actor_id, one.actor_name, one.subject_id) for one in entries] == [("P-ISS", "Ines Harrow", "PD-1")]


def test_what_lapsed_since_the_page_was_shown_refuses_and_the_refusal_is_kept():
    cast.everything()
    seen = preview("PD-1", cast.AT).seen
    withdraw("A-OPE")
    with pytest.raises(Refused) as refused:
        sign("PD-1", "P-ISS", ISSUE, cast.AT, seen)
    assert {one.code for one in refused.value.verdict.blocks} == {"operator.withdrawn"}
    assert not SignOff.objects.exists()
    assert [one.act for one in Entry.objects.order_by("seq")] == [REFUSED]


def test_an_acceptance_is_judged_afresh_and_refused_on_its_own():
    issued()
    seen = preview("PD-1", LATER).seen
    withdraw("A-CR1")
    with pytest.raises(Refused):
        sign("PD-1", "P-REC", ACCEPT, LATER, seen)
    assert [one.meaning for one in SignOff.objects.all()] == [ISSUE]


def test_what_is_not_what_was_shown_is_not_signed():
    permit = cast.everything()
    seen = preview("PD-1", cast.AT).seen
    permit.work = "Another trench"
    permit.save()
    with pytest.raises(Changed):
        sign("PD-1", "P-ISS", ISSUE, cast.AT, seen)
    assert not SignOff.objects.exists()


def test_nobody_signs_for_another():
    cast.everything()
    with pytest.raises(NotTheirs):
        sign("PD-1", "P-REC", ISSUE, cast.AT, preview("PD-1", cast.AT).seen)


@pytest.mark.parametrize(("person", "meaning"), [("P-REC", ACCEPT), ("P-ISS", "again")])
def test_signatures_come_in_their_order(person, meaning):
    cast.everything()
    with pytest.raises(OutOfTurn):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)


def test_a_permit_is_issued_once():
    issued()
    with pytest.raises(OutOfTurn):
        sign("PD-1", "P-ISS", ISSUE, LATER, preview("PD-1", LATER).seen)


def test_the_instant_alone_does_not_change_what_was_shown():
    cast.everything()
    assert preview("PD-1", cast.AT).seen == preview("PD-1", LATER).seen


@pytest.mark.parametrize(
    ("model", "key", "change"),
    [(Instrument, "I-R1", {"serial_no": "rx-0001"}), (Site, "S-1", {"name": "Another yard"}), (Enquiry, "E-1", {"reference_no": "NP 9999"})],
)
def test_whatever_the_sheet_shows_may_not_change_between_page_and_signature(model, key, change):
    cast.everything()
    seen = preview("PD-1", cast.AT).seen
    model.objects.filter(pk=key).update(**change)
    with pytest.raises(Changed):
        sign("PD-1", "P-ISS", ISSUE, cast.AT, seen)


@pytest.mark.parametrize(
    ("table", "change", "what"),
    [
        (Permit, {"work": "a deeper trench"}, "the permit"),
        (Permit, {"receiver_id": "P-FAR"}, "who issues, receives and digs"),
        (Locate, {"operator_id": "P-FAR"}, "the locate"),
        (Sweep, {"bearing_deg": 45}, "what was swept, traced and told"),
        (Trace, {"depth_m": 2}, "what was swept, traced and told"),
    ],
)
def test_what_was_signed_and_is_stored_otherwise_is_found_even_past_the_guards(table, change, what):
    issued()
    with transaction.atomic():
        lift_guards(connection, all_guards())
        table.objects.update(**change)
    assert list(signature_faults()) == [f"PD-1/issue: {what} is not stored as it was signed"]


def test_what_was_signed_and_is_stored_so_still_has_no_fault():
    issued()
    Award.objects.filter(award="A-OPE").update(withdrawn_on=date(2027, 3, 5), withdrawn_because="a later fact")
    assert list(signature_faults()) == []
