"""The permit itself: its window and the people named on it."""

import pytest

from tests.rules.changes import (
    Change,
    and_award,
    together,
    with_award,
    with_enquiry,
    with_permit,
    with_person,
    with_roles,
    with_rule,
    without_enquiries,
    without_locate,
)
from tests.rules.table import Row, block, found, judged, wanted

reversed_ = block("window.reversed", "permit")
past = block("window.past", "permit")
over_limit = block("window.over_limit", "permit")
outlasts = block("window.outlasts_evidence", "permit")
is_receiver = block("people.issuer_is_receiver", "permit")
in_crew = block("people.issuer_in_crew", "permit")
no_crew = block("people.no_crew", "permit")

LONG = with_rule("permit_max_hours", "744")
NOTHING_ENDS = together(*(with_award(person, valid_months=None) for person in ("R-1", "C-1", "C-2")))
OFF_WORK = and_award("I-1", "A-more", "2025-06-30", "receive_permit", "dig")

ROWS = [
    reversed_.fails(with_permit(valid_to="2027-03-04T07:00")),
    reversed_.fails(with_permit(valid_to="2027-03-04T06:59:59")),
    reversed_.passes(with_permit(valid_to="2027-03-04T07:00:01"), at="2027-03-04T07:00"),
    # the hour that comes twice: 01:30 in summer time is before 01:30 in winter time
    reversed_.passes(
        with_permit(valid_from="2027-10-31T01:30+01:00", valid_to="2027-10-31T01:30+00:00"), day="2027-10-31", at="2027-10-31T00:00", zone="Europe/London"
    ),
    reversed_.fails(
        with_permit(valid_from="2027-10-31T01:30+00:00", valid_to="2027-10-31T01:30+01:00"), day="2027-10-31", at="2027-10-31T00:00", zone="Europe/London"
    ),
    past.fails(at="2027-03-06T17:00", since="2027-03-06T17:00"),
    past.passes(at="2027-03-06T16:59:59"),
    past.passes(with_permit(valid_to="2027-03-04T06:00"), also=("window.reversed",)),
    over_limit.passes(with_permit(valid_to="2027-03-11T07:00")),
    over_limit.fails(with_permit(valid_to="2027-03-11T07:00:01")),
    over_limit.passes(with_rule("permit_max_hours", "58")),
    over_limit.fails(with_rule("permit_max_hours", "57")),
    over_limit.fails(with_rule("permit_max_hours", "57", "2027-03-04")),
    over_limit.passes(with_rule("permit_max_hours", "57", "2027-03-05")),
    # hours are elapsed hours: an hour is lost on 14 March 2027, and won on 7 November, in New York
    over_limit.passes(with_permit(valid_to="2027-03-15T08:00"), day="2027-03-08", zone="America/New_York"),
    over_limit.fails(with_permit(valid_to="2027-03-15T08:00:01"), day="2027-03-08", zone="America/New_York"),
    over_limit.passes(with_permit(valid_to="2027-11-08T06:00"), day="2027-11-01", zone="America/New_York"),
    over_limit.fails(with_permit(valid_to="2027-11-08T06:00:01"), day="2027-11-01", zone="America/New_York"),
    outlasts.passes(LONG, with_permit(valid_to="2027-03-17T00:00")),
    outlasts.fails(LONG, with_permit(valid_to="2027-03-17T00:00:01")),
    outlasts.passes(with_permit(valid_to="2027-03-11T07:00:01"), also=("window.over_limit",)),
    outlasts.passes(with_enquiry("E-2", good_through="2027-03-06")),
    outlasts.fails(with_enquiry("E-2", good_through="2027-03-05")),
    outlasts.passes(with_enquiry("E-2", good_through="2027-03-05"), with_permit(valid_to="2027-03-06T00:00")),
    outlasts.fails(with_award("C-2", expires_on="2027-03-05")),
    outlasts.passes(with_award("C-2", expires_on="2027-03-06")),
    outlasts.fails(with_award("R-1", withdrawn_on="2027-03-05")),
    outlasts.fails(with_person("R-1", left_on="2027-03-05")),
    outlasts.passes(with_award("I-1", expires_on="2027-03-04")),
    outlasts.passes(with_enquiry("E-2", good_through="2027-03-05"), with_permit(valid_from="2027-03-06T17:00"), also=("window.reversed",)),
    outlasts.passes(with_permit(valid_to="2018-11-04T01:00"), with_award("C-1", expires_on="2018-11-03"), day="2018-11-03", zone="America/Sao_Paulo"),
    outlasts.fails(with_permit(valid_to="2018-11-04T01:00:01"), with_award("C-1", expires_on="2018-11-03"), day="2018-11-03", zone="America/Sao_Paulo"),
    outlasts.passes(NOTHING_ENDS, without_enquiries(), without_locate(), also=("plans.none", "plans.not_asked", "locate.none")),
    is_receiver.fails(OFF_WORK, with_roles(receiver="I-1")),
    is_receiver.passes(with_person("R-1", name="Ivo Larch")),
    in_crew.fails(OFF_WORK, with_roles(crew=("C-1", "I-1"))),
    in_crew.passes(with_roles(crew=("C-1", "R-1"))),
    no_crew.fails(with_roles(crew=())),
    no_crew.passes(with_roles(crew=("C-1",))),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_window_and_who_may_stand_on_one_permit(row: Row) -> None:
    assert found(row) == wanted(row)


REMEDIES = [
    (with_permit(valid_to="2027-03-08T00:00"), "2027-03-04T09:00", "6 Mar 2027 00:00"),
    (with_permit(valid_from="2027-03-05T23:59:59"), "2027-03-04T09:00", "6 Mar 2027 00:00"),
    (with_permit(valid_from="2027-03-06T00:00"), "2027-03-04T09:00", "Renew Cleo Teasel's"),
    (with_permit(valid_from="2027-03-06T07:00"), "2027-03-05T23:59:59", "Renew Cleo Teasel's"),
]


@pytest.mark.parametrize(("change", "at", "told"), REMEDIES)
def test_the_remedy_names_the_instant_where_the_permit_could_still_end_by_it(change: Change, at: str, told: str) -> None:
    (finding,) = judged(with_award("C-2", expires_on="2027-03-05"), change, at=at).blocks
    assert told in finding.remedy
