"""The people on the permit: each authorised now for what they do on it, and still with the firm."""

import pytest

from tests.rules.changes import Change, and_award, with_award, with_person
from tests.rules.table import Row, block, found, wanted

ROLES = [("issuer", "I-1", "issue_permit"), ("receiver", "R-1", "receive_permit"), ("crew", "C-1", "dig"), ("crew", "C-2", "dig")]
ZONES = ["Pacific/Auckland", "Pacific/Honolulu", "Europe/London"]


def ahead(role: str) -> tuple[str, ...]:
    """What an end before the permit's own end blocks besides: the issuer's does not count there."""
    return () if role == "issuer" else ("window.outlasts_evidence",)


def with_renewal(person: str, thing: str) -> Change:
    return and_award(person, "A-2", "2027-03-01", thing)


def rows(role: str, person: str, thing: str, zone: str) -> list[Row]:
    never, not_begun, lapsed, withdrawn = (block(f"{role}.{how}", f"person:{person}/{thing}") for how in ("never", "not_begun", "lapsed", "withdrawn"))
    left, also = block(f"{role}.left", f"person:{person}"), ahead(role)
    midnight, before = {"at": "2027-03-04T00:00", "zone": zone}, {"at": "2027-03-03T23:59:59", "zone": zone}
    return [
        never.fails(with_award(person, authorises=frozenset({"clamp"})), zone=zone),
        never.fails(with_person(person, awards=()), zone=zone),
        never.passes(with_award(person, authorises=frozenset({thing})), zone=zone),
        not_begun.fails(with_award(person, awarded_on="2027-03-04"), **before),
        not_begun.passes(with_award(person, awarded_on="2027-03-04"), **midnight),
        not_begun.passes(with_award(person, expires_on="2027-03-03"), and_award(person, "A-2", "2027-03-05", thing), also=(f"{role}.lapsed",), zone=zone),
        lapsed.fails(with_award(person, expires_on="2027-03-03"), since="2027-03-04T00:00", **midnight),
        lapsed.passes(with_award(person, expires_on="2027-03-03"), also=also, **before),
        lapsed.passes(with_award(person, expires_on="2027-03-03"), and_award(person, "A-2", "2027-03-04", thing), zone=zone),
        withdrawn.fails(with_award(person, withdrawn_on="2027-03-04"), since="2027-03-04T00:00", **midnight),
        withdrawn.passes(with_award(person, withdrawn_on="2027-03-04"), also=also, **before),
        withdrawn.fails(
            and_award(person, "A-2", "2027-03-01", thing), with_award(person, "A-2", withdrawn_on="2027-03-02"), zone=zone, since="2027-03-02T00:00"
        ),
        withdrawn.passes(and_award(person, "A-2", "2027-03-04", thing), with_award(person, withdrawn_on="2027-03-03"), zone=zone),
        withdrawn.fails(with_award(person, awarded_on="2027-03-04", withdrawn_on="2027-03-04"), since="2027-03-04T00:00", **midnight),
        left.fails(with_person(person, left_on="2027-03-03"), since="2027-03-04T00:00", **midnight),
        left.passes(with_person(person, left_on="2027-03-03"), also=also, **before),
    ]


ROWS = [row for role in ROLES for zone in ZONES for row in rows(*role, zone)]
BEGINS = block("crew.not_begun", "person:C-1/dig")
ENDS = block("crew.lapsed", "person:C-1/dig")
OUTLASTS = ("window.outlasts_evidence",)

# days that begin or end at odd instants, and months that end on the last of February
ODD = [
    BEGINS.fails(with_award("C-1", awarded_on="2018-11-04"), day="2018-11-03", at="2018-11-04T02:59:59Z", zone="America/Sao_Paulo"),
    BEGINS.passes(with_award("C-1", awarded_on="2018-11-04"), day="2018-11-03", at="2018-11-04T03:00Z", zone="America/Sao_Paulo"),
    BEGINS.fails(with_award("C-1", awarded_on="2011-12-31"), day="2011-12-29", at="2011-12-30T09:59:59Z", zone="Pacific/Apia"),
    BEGINS.passes(with_award("C-1", awarded_on="2011-12-31"), day="2011-12-29", at="2011-12-30T10:00Z", zone="Pacific/Apia"),
    BEGINS.fails(with_award("C-1", awarded_on="1919-03-31"), day="1919-03-30", at="1919-03-31T04:29:59Z", zone="America/Toronto"),
    BEGINS.passes(with_award("C-1", awarded_on="1919-03-31"), day="1919-03-30", at="1919-03-31T04:30Z", zone="America/Toronto"),
    BEGINS.fails(with_award("C-1", awarded_on="2027-04-05"), day="2027-04-04", at="2027-04-04T13:29:59Z", zone="Australia/Lord_Howe"),
    BEGINS.passes(with_award("C-1", awarded_on="2027-04-05"), day="2027-04-04", at="2027-04-04T13:30Z", zone="Australia/Lord_Howe"),
    ENDS.fails(with_award("C-1", expires_on="2027-03-13"), day="2027-03-14", at="2027-03-14T05:00Z", zone="America/New_York", since="2027-03-14T05:00Z"),
    ENDS.fails(with_award("C-1", expires_on="2027-03-14"), day="2027-03-14", at="2027-03-15T04:00Z", zone="America/New_York", since="2027-03-15T04:00Z"),
    ENDS.passes(with_award("C-1", expires_on="2027-03-14"), day="2027-03-14", at="2027-03-15T03:59:59Z", zone="America/New_York", also=OUTLASTS),
    ENDS.fails(with_award("C-1", awarded_on="2027-02-28", valid_months=12), day="2028-02-29", since="2028-02-29T00:00"),
    ENDS.passes(with_award("C-1", awarded_on="2027-02-28", valid_months=12), day="2028-02-28", also=OUTLASTS),
    ENDS.fails(with_award("C-1", awarded_on="2028-02-29", valid_months=12), day="2029-03-01", since="2029-03-01T00:00"),
    ENDS.passes(with_award("C-1", awarded_on="2028-02-29", valid_months=12), day="2029-02-28", also=OUTLASTS),
    ENDS.fails(with_award("C-1", awarded_on="2027-08-31", valid_months=6), day="2028-03-01", since="2028-03-01T00:00"),
    ENDS.passes(with_award("C-1", awarded_on="2027-08-31", valid_months=6), day="2028-02-29", also=OUTLASTS),
]


@pytest.mark.parametrize("row", [*ROWS, *ODD], ids=str)
def test_everyone_on_the_permit_may_do_what_they_do_on_it_now(row: Row) -> None:
    assert found(row) == wanted(row)
