"""Requests made by hand, by somebody who means ill: too much, too far, beside the point. Each is refused in words, quickly, and is no fault of ours."""

from time import process_time

import pytest

from locates.permits.models import Permit
from records.books.catalogue import books
from records.firm.models import Person, Posting
from records.ledger.models import Entry
from records.rules.text import Unfit
from records.rules.trench import given, outline
from tests import cast
from tests.elsewhere import elsewhere

WINDOW = {"valid_from_day": "2027-03-04", "valid_from_time": "08:00", "valid_to_day": "2027-03-05", "valid_to_time": "08:00"}
SLIP = {"site": "S-1", "permit": "PD-77", "work": "x", "depth_m": "1", "method": "hand", "issuer": "P-ISS", "receiver": "P-REC", "locate": "L-1", **WINDOW}
SQUARE = "0 0\n10 0\n10 10"


def zigzag(count):
    return "\n".join(f"{number * 0.001:.3f} {number % 2 * 50}" for number in range(count))


@pytest.mark.parametrize(
    "typed",
    [
        {"outline": "1" * 200_000 + " 5\n3 4\n5 6"},
        {"outline": "1" * 2000 + " 5\n3 4\n5 6", "width": "1"},
        {"outline": zigzag(50_000), "width": "2"},
        {"outline": zigzag(2000)},
        {"outline": "1" + " " * 200_000 + "x"},
        {"outline": "POLYGON((" + "(" * 50_000},
        {"outline": SQUARE, "width": "9" * 4000},
        {"outline": SQUARE, "depth_m": "9" * 100_000},
        {"outline": SQUARE, "valid_from_day": "0001-01-01", "valid_to_day": "0001-01-01"},
        {"outline": SQUARE, "valid_from_day": "9999-12-31", "valid_to_day": "9999-12-31"},
        {"outline": SQUARE, "valid_from_day": "\0", "valid_to_day": "2027" * 10_000},
        {"outline": SQUARE, "work": "x" * 2_000_000},
    ],
    ids=lambda typed: "".join(f"{name} {value[:12]!r} " for name, value in typed.items()),
)
@pytest.mark.parametrize("do", ["look", "save", "shorten"])
def test_nothing_typed_into_a_permit_is_a_fault_of_ours_or_keeps_the_server_busy(scene, as_person, typed, do):
    client, begun = as_person("P-ISS"), process_time()
    assert client.post("/prepare/", SLIP | typed | {"do": do}).status_code == 200
    assert process_time() - begun < 10
    assert Permit.objects.count() == 1


@pytest.mark.parametrize("days", ["since=0001-01-01", "through=9999-12-31", "since=0001-01-01&through=9999-12-31"])
@pytest.mark.parametrize("slug", ["checks", "awards", "locates", "enquiries", "outcomes", "postings"])
def test_the_ends_of_the_calendar_are_no_stumble_in_any_book(scene, as_person, slug, days):
    client = as_person("P-SAF")
    assert [client.get(f"/records/{slug}{page}?{days}").status_code for page in ("/", ".csv")] == [200, 200]


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_nor_in_what_falls_ahead(scene, as_person, day):
    client = as_person("P-SAF")
    assert [client.get(f"/cover/{page}?day={day}").status_code for page in ("", "ahead/")] == [200, 200]


@pytest.mark.parametrize(
    ("text", "says"), [(zigzag(101), "101 points"), ("0 0\n" + "9" * 5000 + " 4", "not a plain decimal"), ("0 0\n200000 4", "out of the site's grid")]
)
def test_a_trench_of_very_many_points_or_far_away_is_refused_before_it_is_grown(text, says):
    with pytest.raises(Unfit, match=says):
        outline(text, 2.0)


def test_an_outline_of_very_many_corners_is_refused_before_it_is_grown_and_drawn():
    corners = [f"{number} 0" for number in range(1001)]
    with pytest.raises(Unfit, match="1002 corners: at most 1000"):
        given("\n".join([*corners, "0 50"]), None)


# beyond one's reach


FOREIGN = ["PD-9", "L-9", "E-9", "SW-9", "T-9", "A-FAR", "N-FAR", "P-FAR"]
WAYS = [
    "/records/{slug}/",
    "/records/{slug}.csv",
    "/records/{slug}/?search=9",
    "/records/{slug}/?sort=-site",
    "/records/{slug}/?site=S-9",
    "/enter/{slug}/?site=S-9&locate=L-9&like=L-9&person=P-FAR",
]


@pytest.mark.parametrize("person", ["P-OPE", "P-ISS", "P-CR1"])
def test_no_list_file_search_order_or_form_of_a_book_names_what_is_of_a_foreign_site(scene, as_person, person):
    elsewhere()
    client, told = as_person(person), []
    ways = [one.replace("&locate=L-9", "") for one in WAYS]  # what the address itself says, a form may repeat
    for slug in ("sites", "people", "postings", "awards", "enquiries", "services", "locates", "sweeps", "traces", "outcomes"):
        for way in ways:
            answer = client.get(way.format(slug=slug))
            said = (b"".join(answer) if answer.streaming else answer.content).decode() if answer.status_code == 200 else ""
            told += [(way, slug, one) for one in FOREIGN if f">{one}<" in said or f'value="{one}"' in said or f"/{one}/" in said or f"\n{one}," in said]
    assert told == []


@pytest.mark.parametrize("person", ["P-OPE", "P-ISS"])
def test_nothing_is_entered_at_a_foreign_site_whatever_the_form_offers(scene, as_person, person):
    elsewhere()
    client = as_person(person)
    tries = {
        "locates": {"locate": "L-X", "site": "S-9", "operator": person, "receiver": "I-R1", "started_at_day": "2027-03-03", "started_at_time": "07:30"},
        "enquiries": {"enquiry": "E-X", "site": "S-9", "service_owner": "Northline Power", "sent_on": "2027-03-01"},
        "sweeps": {"sweep": "SW-X", "locate": "L-9", "technique": "passive_power", "area": "0 0\n10 0\n10 10", "bearing_deg": "0"},
    }
    for slug, row in tries.items():
        client.post(f"/enter/{slug}/", row)
    client.post("/prepare/", SLIP | {"site": "S-9", "locate": "L-9", "outline": SQUARE, "do": "save"})
    assert not Entry.objects.exists() and Permit.objects.count() == 2


def test_fields_slipped_into_a_form_give_nobody_a_role_a_password_or_a_name(scene, as_person):
    slipped = {"roles": "safety_manager", "password": "x", "is_superuser": "yes", "recorded_at": "2020-01-01", "name": "Somebody Else", "person": "P-SAF"}
    client, before = as_person("P-ISS"), list(Person.objects.order_by("pk").values())
    for address in (
        "/password/",
        "/account/second-factor/",
        "/check/I-R1/",
        "/prepare/",
        "/enter/enquiries/",
        "/records/people/P-ISS/",
        "/people/P-ISS/access/",
        "/correct/people/P-ISS/",
    ):
        client.post(address, slipped)
    assert list(Person.objects.order_by("pk").values()) == before


def test_whose_posting_has_ended_reaches_nothing_of_the_site_any_more(scene, as_person):
    cast.permit("PD-2", issuer_id="P-REC")
    Posting.objects.filter(person="P-ISS").update(ends_on="2027-02-01")
    client = as_person("P-ISS")
    answers = [
        client.get(one).status_code for one in ("/permits/PD-1/", "/permits/PD-2/", "/records/locates/L-1/", "/permits/PD-2/paper.pdf", "/permits/PD-2/sign/")
    ]
    assert answers == [200, 404, 404, 404, 404]


LIKE = [("sweeps", "SW-9", "area", "417"), ("enquiries", "E-9", "reference_no", "SECRET-9"), ("awards", "A-FAR", "certificate_no", "SECRET-9")]


@pytest.mark.parametrize(("slug", "key", "field", "told"), LIKE)
def test_a_new_record_like_a_foreign_one_begins_empty(scene, as_person, slug, key, field, told):
    elsewhere()
    books()[slug].model.objects.filter(pk=key).update(**{field: "POLYGON ((417 0, 427 0, 427 9, 417 0))" if field == "area" else told})
    pages = {person: as_person(person).get(f"/enter/{slug}/?like={key}") for person in ("P-OPE", "P-ISS", "P-SAF")}
    assert [person for person, page in pages.items() if told in page.content.decode()] == ["P-SAF"]


def test_a_polygon_of_very_many_corners_handed_in_for_a_sweep_is_refused_in_words(scene, as_person):
    elsewhere()
    client, begun = as_person("P-OPE"), process_time()
    row = {"sweep": "SW-X", "locate": "L-2", "technique": "passive_power", "area": zigzag(100_000), "bearing_deg": "0"}
    assert client.post("/enter/sweeps/", row).status_code == 200
    assert process_time() - begun < 10 and not Entry.objects.exists()
