"""Decisions as records: they stay as they were made, on either database, and travel in their register; a recall costs as much for many as for few."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from locates.permits.models import Permit, SignOff
from locates.recall.actions import NotTheirs, Ruling, StillLive, decide
from locates.recall.facts import EVERYTHING, doubts
from locates.recall.models import Decision
from locates.recall.resting import concerned
from locates.recall.resting import scene as scene_of
from locates.surveys.models import Locate, Sweep
from records.firm.models import Person
from records.ledger.models import Entry
from tests import cast
from tests.elsewhere import OF
from tests.recall.doing import PAGE, decided, found_out, signed
from tests.register import changed, loaded, places, register, row, says

pytestmark = pytest.mark.django_db


def made(**other):
    told = {"decision": "RD-7", "locate_id": "L-1", "calibration_id": "K-BAD", "decided": "stands", "why": "because", "person_id": "P-SAF"}
    return Decision.objects.create(**told | {"decided_at": cast.AT} | OF | other)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda: Decision.objects.filter(pk="RD-7").update(why="nothing"),
        lambda: Decision.objects.filter(pk="RD-7").delete(),
        lambda: connection.cursor().execute("UPDATE recall_decision SET decided = 'dug_unharmed'"),
        lambda: connection.cursor().execute("DELETE FROM recall_decision"),
    ],
)
def test_the_database_keeps_a_decision_as_it_was_made(scene, spoil):
    found_out()
    made()
    with pytest.raises(IntegrityError), transaction.atomic():
        spoil()
    assert Decision.objects.get().why == "because"


@pytest.mark.parametrize(
    "other",
    [
        {"permit_id": "PD-1"},
        {"locate_id": None},
        {"award_id": "A-OPE"},
        {"calibration_id": None},
        {"decided": "forget"},
    ],
)
def test_the_database_takes_a_decision_of_one_thing_upon_one_finding(scene, other):
    found_out()
    with pytest.raises(IntegrityError), transaction.atomic():
        made(**other)


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"permit": "G1"}, "locate"),
        ({"locate": ""}, "locate"),
        ({"award": "A3"}, "calibration"),
        ({"calibration": ""}, "calibration"),
        ({"decided": "forget"}, "decided"),
        ({"why": ""}, "why"),
    ],
)
def test_a_row_that_is_no_decision_is_refused_at_its_column(tmp_path, cells, column):
    assert places(loaded(tmp_path, changed("recall_decisions", "RD1", **cells))) == [("recall_decisions.csv", 2, column)]


def test_no_file_changes_a_decision(tmp_path):
    loaded(tmp_path / "in", register())
    done = loaded(tmp_path / "then", {"recall_decisions": [row(register(), "recall_decisions", "RD1") | {"decided": "locate_again"}]})
    assert "is recorded and does not change" in says(done)


def test_a_refused_decision_leaves_nothing(scene):
    signed()
    found_out()
    before = Entry.objects.count()
    for person, error, subject in (("P-ISS", NotTheirs, ("locate", "L-1")), ("P-SAF", StillLive, ("permit", "PD-1"))):
        with pytest.raises(error):
            decide("calibration", "K-BAD", Ruling({subject}, "stands", "because"), Person.objects.get(pk=person), cast.AT)
    assert (Decision.objects.count(), Entry.objects.count()) == (0, before)


# how much it costs


def more(first, last):
    """So many locates made with the receiver, each with a signed permit upon it that is over."""
    names = [f"{number:04}" for number in range(first, last)]
    plain = {"site_id": "S-1", "operator_id": "P-OPE", "receiver_id": "I-R1", **OF}
    times = {"started_at": cast.AT - timedelta(hours=25), "finished_at": cast.AT - timedelta(hours=22)}
    Locate.objects.bulk_create(Locate(locate=f"L-{name}", **plain, **times) for name in names)
    Sweep.objects.bulk_create(Sweep(sweep=f"SW-{name}", locate_id=f"L-{name}", technique="passive_power", area=cast.AROUND, **OF) for name in names)
    like = Permit.objects.get(permit="PD-1")
    fields = {field.attname: getattr(like, field.attname) for field in Permit._meta.fields}
    Permit.objects.bulk_create(Permit(**fields | {"permit": f"PD-{name}", "locate_id": f"L-{name}"}) for name in names)
    sign = {
        "meaning": "issue",
        "person_id": "P-ISS",
        "printed_name": "Ines Harrow",
        "signed_at": cast.AT,
        "verdict": '{"blocks":[]}',
        "digest": "0",
        "sheet": "{}",
    }
    SignOff.objects.bulk_create(SignOff(permit_id=f"PD-{name}", **sign, **OF) for name in names)


@pytest.mark.parametrize("address", ["/recalls/", PAGE, f"{PAGE}?page=2", f"{PAGE}list.csv", f"{PAGE}list.pdf"])
def test_a_thousand_locates_take_as_many_queries_as_ten(scene, as_person, address):
    found_out()
    client, counts = as_person("P-SAF"), []
    for first, last in ((0, 10), (10, 1000)):
        more(first, last)
        client.get(address)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            answered = client.get(address)
            b"".join(answered.streaming_content) if answered.streaming else answered.content
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_what_an_instrument_made_outside_the_time_of_any_doubt_is_not_even_fetched(scene):
    found_out()
    for key, days in (("L-OLD", 400), ("L-NEW", 2)):
        began = cast.AT - timedelta(days=days)
        times = {"started_at": began, "finished_at": began + timedelta(hours=2)}
        Locate.objects.create(locate=key, site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", **times, **OF)
    assert set(scene_of(concerned(doubts(EVERYTHING, cast.AT)), cast.AT).locates) == {"L-1", "L-NEW"}


# on paper and as a file


def test_the_paper_holds_all_that_the_page_does_and_is_the_same_each_time(scene, as_person):
    found_out()
    more(0, 60)
    client = as_person("P-SAF")
    decided(client, "locate:L-1", decided="locate_again", why="Booked for Friday.")
    first, again = (client.get(f"{PAGE}list.pdf").content for _ in range(2))
    assert first == again
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(first)).pages).split())
    assert "Found out of tolerance on 4 Mar 2027 by Bench and Bridge" in text
    assert "To be located again" in text and "Booked for Friday." in text and "Hana Petros" in text
    assert all(f"Locate L-{number:04}" in text for number in range(60))
    assert "page 2 of" in text


def test_the_file_lists_each_with_what_was_decided(scene, as_person):
    found_out()
    client = as_person("P-SAF")
    decided(client, "locate:L-1", decided="locate_again", why="Booked for Friday.")
    text = b"".join(client.get(f"{PAGE}list.csv").streaming_content).decode()
    assert "locate,L-1," in text and "To be located again,Booked for Friday.,Hana Petros" in text
    every = b"".join(client.get("/recalls.csv").streaming_content).decode()
    assert "Found out of tolerance on 4 Mar 2027 by Bench and Bridge (calibration K-BAD)." in every
