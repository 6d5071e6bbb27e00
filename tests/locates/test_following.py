"""A permit that names the one it follows: how it comes on record, what it waits for, what stays once it is signed, and what its paper says."""

import json
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction

from locates.life.actions import Wish, outlook
from locates.life.watching import watched
from locates.permits.actions import Refused, preview, sign
from locates.permits.facts import gather
from locates.permits.models import Following, Permit, SignOff
from locates.permits.paper import permit_pdf
from locates.permits.printing import sheet_to_print
from locates.permits.related import related
from records.firm.models import Person
from records.ledger.facts import signature_faults
from records.ledger.guards import all_guards
from records.ledger.triggers import lift_guards
from tests import cast
from tests.life.conftest import LATER, accepted, done
from tests.locates.printing import words
from tests.register import changed, loaded, places, register, row

pytestmark = pytest.mark.django_db


@pytest.fixture
def both(db):
    """PD-1, accepted; and PD-2 prepared to follow it, deeper."""
    accepted()
    follow("PD-2", depth_m="1.5")


def follow(name, old="PD-1", **other):
    made = cast.permit(name, **other)
    Following.objects.create(permit=made, follows_id=old, why="the pipe lies deeper", changed="the depth", recorded_at=cast.RECORDED)
    return made


def codes(permit, at=LATER):
    verdict = preview(permit, at).verdict
    return [one.code for one in (*verdict.blocks, *verdict.cautions) if one.code.startswith("follows.")]


def signed(permit, at=LATER):
    sign(permit, "P-ISS", "issue", at, preview(permit, at).seen)


def test_it_is_not_issued_until_the_old_one_is_ended(both):
    with pytest.raises(Refused) as refused:
        signed("PD-2")
    assert [(one.code, one.subject) for one in refused.value.verdict.blocks] == [("follows.still_open", "permit:PD-1")]
    done("suspend", "P-REC")
    assert codes("PD-2") == ["follows.still_open"]
    done("end_scope", "P-REC")
    assert codes("PD-2") == []
    signed("PD-2")
    assert SignOff.objects.filter(permit="PD-2").count() == 1


def test_one_that_ran_out_of_time_waits_for_its_hand_back(both):
    late = cast.AT + timedelta(hours=31)
    assert codes("PD-2", late) == ["follows.still_open"]
    assert watched(late).ended == ["PD-1"]
    assert codes("PD-2", late) == ["follows.still_open"]
    done("hand_back", "P-REC", late)
    assert codes("PD-2", late) == []


def test_an_extension_moves_the_end_that_it_tells_of(both):
    until = cast.AT + timedelta(hours=34)
    done("extend", "P-ISS", until=until)
    assert preview("PD-2", LATER).evidence.follows.permit.valid_to == until


def test_once_the_new_one_is_issued_the_old_one_is_signed_no_more(both):
    follow("PD-4", "PD-3") if cast.permit("PD-3") else None
    signed("PD-4")
    with pytest.raises(Refused) as refused:
        signed("PD-3")
    assert [one.code for one in refused.value.verdict.blocks] == ["follows.replaced"]


def test_one_that_was_withdrawn_before_it_was_accepted_takes_no_place(both):
    follow("PD-4", "PD-3") if cast.permit("PD-3") else None
    signed("PD-4")
    done("withdraw", "P-ISS", permit="PD-4")
    assert "follows.replaced" not in codes("PD-3")
    told = related(["PD-3"], Person.objects.get(pk="P-ISS"), LATER)["PD-3"]
    assert [(one.permit, one.beside) for one in told] == [("PD-4", "withdrawn before it was accepted")]


def test_an_extension_is_told_of_whoever_has_the_ground_in_the_time_it_adds(both):
    until = cast.AT + timedelta(hours=34)
    cast.permit("PD-3", valid_from=cast.AT + timedelta(hours=31), valid_to=cast.AT + timedelta(hours=40))
    signed("PD-3")
    told = outlook("PD-1", Wish("extend", until=until), LATER).verdict.cautions
    assert ("follows.shares_ground", "permit:PD-3") in [(one.code, one.subject) for one in told]
    assert "follows.shares_ground" not in codes("PD-1")
    done("extend", "P-ISS", until=until)
    assert "follows.shares_ground" in codes("PD-1")


def test_a_permit_upon_the_same_ground_is_told_of_unless_it_is_named(both):
    cast.permit("PD-3")
    assert (codes("PD-3"), codes("PD-2"), codes("PD-1")) == (["follows.shares_ground"], ["follows.still_open"], [])
    done("end_scope", "P-REC")
    assert codes("PD-3") == []


def test_it_is_part_of_what_is_signed(both):
    done("end_scope", "P-REC")
    signed("PD-2")
    sheet = json.loads(SignOff.objects.get(permit="PD-2").sheet)
    assert sheet["rows"]["the permit that it follows"] == ["PD-1", "the pipe lies deeper", "the depth"]
    assert "the permit that it follows" not in json.loads(SignOff.objects.filter(permit="PD-1").first().sheet)["rows"]
    assert list(signature_faults()) == []


@pytest.mark.parametrize(
    "change",
    [
        lambda: Following.objects.update(why="something else"),
        lambda: Following.objects.all().delete(),
        lambda: Following.objects.create(permit_id="PD-1", follows_id="PD-2", why="x", changed="y", recorded_at=cast.AT),
    ],
)
def test_it_stays_with_the_signed_permit_and_past_the_guards_it_is_found_out(both, change):
    done("end_scope", "P-REC")
    signed("PD-2")
    with pytest.raises(IntegrityError, match="signed permit"), transaction.atomic():
        change()
    lift_guards(connection, all_guards())
    change()
    assert len(list(signature_faults())) in (1, 2)


def test_its_paper_names_both_and_what_is_different(both):
    done("end_scope", "P-REC")
    signed("PD-2")
    found = words(permit_pdf(sheet_to_print("PD-2", LATER)))
    assert "Follows permit PD-1 Why a new permit the pipe lies deeper What is different the depth" in found
    assert "Depth, in PD-1 and here 1.2 m; here 1.5 m" in found
    old = words(permit_pdf(sheet_to_print("PD-1", LATER)))
    assert "Permit PD-2, which follows this one, was issued on 4 Mar 2027 09:30" in old


def test_any_number_of_them_takes_the_same_number_of_queries(both, django_assert_num_queries):
    for number in range(3, 9):
        follow(f"PD-{number}", f"PD-{number - 1}")
    with django_assert_num_queries(32):
        gather(Permit.objects.filter(pk="PD-2"))
    with django_assert_num_queries(32):
        assert [one.follows.permit.permit for one in gather(Permit.objects.exclude(pk="PD-1").order_by("pk"))][:2] == ["PD-1", "PD-2"]


def with_third(**cells):
    return changed("followings", "G3", **cells)


def test_a_register_of_them_is_loaded(tmp_path):
    assert places(loaded(tmp_path, with_third())) == []
    assert Following.objects.get().follows_id == "G1"


@pytest.mark.parametrize("cells", [{"follows": "G3"}, {"follows": "G2"}, {"follows": "G9"}, {"follows": ""}, {"why": ""}, {"changed": ""}])
def test_what_cannot_be_followed_is_refused_at_the_door(tmp_path, cells):
    (column,) = cells
    assert [place[2] for place in places(loaded(tmp_path, with_third(**cells)))] == [column]
    assert not Following.objects.exists()


def test_a_ring_is_refused_at_the_door(tmp_path):
    tables = with_third()
    tables["followings"].append({"permit": "G1", "follows": "G3", "why": "back", "changed": "nothing"})
    assert places(loaded(tmp_path, tables)) == [("followings.csv", 2, "follows"), ("followings.csv", 3, "follows")]


def test_neither_of_the_two_moves_to_another_site_alone(tmp_path):
    loaded(tmp_path / "in", with_third())
    moved = row(register(), "permits", "G1") | {"site": "S2", "locate": "", "valid_from": "2027-03-05T07:00:00-10:00", "valid_to": "2027-03-05T17:00:00-10:00"}
    assert ("permits.csv", 2, "site") in places(loaded(tmp_path / "then", {"permits": [moved]}))
