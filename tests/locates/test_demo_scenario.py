"""The demo firm says the same on whatever day, and at whatever hour, it is made."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest

from locates.permits.demo.scenario import identifiers, scenario, write
from locates.permits.facts import gather
from locates.permits.models import Permit
from locates.permits.rules.gate import assess
from records.exchange.loading import load
from records.ledger.chain import COMMAND_LINE
from records.rules.numbers import NUMBERS
from records.rules.words import METHODS
from tests.rules import folder as registers

BRINDLEWICK = ("plans.lapsed", "plans.not_asked", "plans.unanswered")
MAY_BE_SIGNED = {"Q-101", "Q-102", "Q-103", "Q-110", "Q-113", "Q-128", "T-201", "T-202", "T-209"}
BLOCKED = {
    "B-301": (*BRINDLEWICK, "plans.after_locate"),
    "B-302": (*BRINDLEWICK, "locate.none", "people.no_crew"),
    "B-303": (
        *BRINDLEWICK,
        "plans.after_locate",
        "instrument.none",
        "people.issuer_is_receiver",
        "window.outlasts_evidence",
        "window.over_limit",
    ),
    "B-304": (*BRINDLEWICK, "locate.none", "window.reversed"),
    "Q-104": ("service.unaccounted",),
    "Q-105": ("receiver.lapsed",),
    "Q-106": ("crew.left",),
    "Q-107": ("locate.one_direction",),
    "Q-108": ("locate.not_swept", "locate.one_direction"),
    "Q-109": ("service.not_found",),
    "Q-111": ("instrument.calibration_lapsed",),
    "Q-112": ("service.wrong_technique",),
    "Q-114": ("clearance.bore_unexposed",) * 2,
    "Q-115": ("locate.lapsed",),
    "Q-116": ("window.outlasts_evidence",),
    "Q-132": ("plans.after_locate", "plans.other_ground", "plans.wrong"),
    "T-203": ("instrument.recalled",),
    "T-204": ("instrument.check_missing",),
    "T-205": ("operator.withdrawn",) * 3,
    "T-206": ("plans.other_ground",),
    "T-207": ("window.past",),
    "T-208": ("plans.after_locate",),
    "T-210": ("locate.unfinished",),
    "T-211": ("crew.never", "plans.not_entered"),
}
# signed days ago by the command, and stepped since
LIVED = dict.fromkeys(("Q-121", "Q-122", "Q-123", "Q-124"), ()) | dict.fromkeys(("Q-125", "Q-126", "Q-127"), ("window.past",))
LIVED["Q-131"] = ("plans.wrong", "window.past")
EXPECTED = {permit: sorted(codes) for permit, codes in (BLOCKED | LIVED).items()} | {permit: [] for permit in MAY_BE_SIGNED}
INTERESTING = {
    "clearance.exposed_in_part",
    "depth.disagrees",
    "depth.from_passive",
    "depth.not_checked",
    "due.soon",
    "instrument.hire_over",
    "instrument.out_of_service_since",
    "plans.closed",
    "plans.dropped",
    "rules.change_ahead",
    "rules.looser",
    "service.by_word",
    "sweep.too_near",
    "trace.no_width",
    "trace.passive_only",
    "trace.unplanned",
}

MONTH_ENDS = [datetime(2027, month, 1, 8, tzinfo=UTC) - timedelta(days=1) for month in range(1, 13)]
LEAP_DAY = [datetime(2028, 2, 29, hour, 40, tzinfo=UTC) for hour in (0, 9, 15, 23)]
CLOCKS_CHANGE = [  # London 28 Mar and 31 Oct 2027; Auckland 4 Apr and 26 Sep 2027, at 14:00 UTC of the day before
    datetime(2027, 3, 28, 0, 59, tzinfo=UTC),
    datetime(2027, 3, 28, 1, 0, tzinfo=UTC),
    datetime(2027, 10, 31, 1, 30, tzinfo=UTC),
    datetime(2027, 4, 3, 14, 20, tzinfo=UTC),
    datetime(2027, 9, 25, 14, 20, tzinfo=UTC),
]
NEXT_DAY_IN_THE_EAST = [datetime(2026, 12, 31, 11, 5, tzinfo=UTC), datetime(2027, 1, 3, 23, 59, 59, tzinfo=UTC)]


@pytest.fixture
def judged(tmp_path):
    """The verdict on each permit of the scenario made at an instant, by permit."""

    def judge(at):
        write(tmp_path, at)
        return {one.permit.permit: assess(one, at) for one in registers.evidence(tmp_path)}

    return judge


@pytest.mark.parametrize("at", [*MONTH_ENDS, *LEAP_DAY, *CLOCKS_CHANGE, *NEXT_DAY_IN_THE_EAST], ids=str)
def test_each_permit_is_blocked_for_its_own_reason_whenever_the_firm_is_made(judged, at):
    assert {permit: sorted(block.code for block in verdict.blocks) for permit, verdict in judged(at).items()} == EXPECTED


@pytest.mark.parametrize("at", [MONTH_ENDS[1], LEAP_DAY[1]], ids=str)
def test_the_verdicts_hold_for_the_rest_of_a_working_day(tmp_path, at):
    write(tmp_path, at)
    later = {one.permit.permit: assess(one, at + timedelta(hours=8)) for one in registers.evidence(tmp_path)}
    assert {permit for permit, verdict in later.items() if verdict.clear} == MAY_BE_SIGNED | {one for one, codes in LIVED.items() if not codes}


def test_the_cautions_are_worth_reading(judged):
    said = {caution.code for verdict in judged(LEAP_DAY[0]).values() for caution in verdict.cautions}
    assert said >= INTERESTING


def test_hand_digging_is_asked_of_every_permit_that_may_be_signed(judged):
    verdicts = judged(MONTH_ENDS[0])
    assert min(verdicts[permit].hand_area_m2 for permit in MAY_BE_SIGNED) > 1
    assert [one.code for one in verdicts["Q-110"].conditions] == ["hand_dig", "treat_as_live"]


@pytest.mark.django_db
def test_an_owner_s_words_stand_on_the_permits_that_they_concern(tmp_path):
    at = datetime(2027, 3, 3, 12, tzinfo=UTC)
    write(tmp_path, at)
    assert list(load(tmp_path, COMMAND_LINE, at).problems()) == []
    said = {one.permit.permit: assess(one, at) for one in gather(Permit.objects.filter(site="TAWHA"))}
    assert {one for one, verdict in said.items() if "owner.agreed" not in {kept.code for kept in verdict.conditions}} == set()
    assert {one.code for verdict in said.values() for one in (*verdict.blocks, *verdict.cautions) if one.code.startswith("owner.")} == set()


def test_the_same_instant_gives_the_same_rows_and_a_day_means_its_noon():
    assert scenario(date(2028, 2, 29)) == scenario(datetime(2028, 2, 29, 12, tzinfo=UTC))


def test_every_record_keeps_its_name_from_day_to_day():
    assert identifiers(scenario(date(2027, 1, 1))) == identifiers(scenario(date(2028, 2, 29)))


def test_no_identifier_comes_twice():
    files = scenario(date(2027, 5, 31))
    named = {name: [next(iter(row.values())) for row in rows] for name, rows in files.items() if name not in ("rules.csv", "outcomes.csv")}
    assert [(name, one) for name, ids in named.items() for one, times in Counter(ids).items() if times > 1] == []


def test_it_is_a_firm_worth_looking_at():
    files = scenario(date(2027, 5, 31))
    assert {row["method"] for row in files["permits.csv"]} == set(METHODS)
    assert len({row["time_zone"] for row in files["sites.csv"]}) == 2
    assert len(files["sites.csv"]) == 3
    assert len(files["instruments.csv"]) == 12
    assert len(files["checks.csv"]) > 500
    assert len(files["people.csv"]) >= 30


def test_depths_were_dug_up_plans_lie_a_little_off_and_somebody_was_told():
    files = scenario(date(2027, 5, 31))
    assert len(files["trial_holes.csv"]) > 30
    assert {row["trace"] for row in files["trial_holes.csv"]} <= {row["trace"] for row in files["traces.csv"]}
    assert {row["service"] for row in files["planned_lines.csv"]} <= {row["service"] for row in files["plan_services.csv"]}
    assert files["reports.csv"]


def test_the_records_reach_back_over_a_year():
    first = min(row["checked_at"] for row in scenario(date(2027, 5, 31))["checks.csv"])
    assert first < "2026-06-20"


@pytest.mark.parametrize("what", ["operator", "receiver", "transmitter"])
def test_nobody_and_nothing_is_in_two_places_at_once(what):
    spans = {}
    for row in scenario(datetime(2027, 6, 30, 1, tzinfo=UTC))["locates.csv"]:
        if row[what] and row["finished_at"]:
            spans.setdefault(row[what], []).append((datetime.fromisoformat(row["started_at"]), datetime.fromisoformat(row["finished_at"])))
    assert [(one, pair) for one, times in spans.items() for pair in pairwise(sorted(times)) if pair[0][1] > pair[1][0]] == []


def test_the_firm_s_own_numbers_are_keys_that_the_rules_know():
    assert {row["key"] for row in scenario(date(2027, 5, 31))["rules.csv"]} <= set(NUMBERS)
