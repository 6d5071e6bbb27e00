"""What undoes a live permit: every block of the gate, except what merely ran out since it was last signed and leaves its locate as good as it was."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from locates.rules.fitness import Instrument, known_checks, self_test_span
from records.rules.dates import day_start
from records.rules.verdict import Finding, Verdict

OPERATOR, CALIBRATION, SELF_TEST = RUN_OUT = ("operator.lapsed", "instrument.calibration_lapsed", "instrument.self_test_lapsed")
BY_TIME = "window.past"  # the permit's end, which undoes nothing
THINGS = {OPERATOR: "the authorisation of the locate's operator", CALIBRATION: "the calibration of an instrument", SELF_TEST: "the self-test of an instrument"}


@dataclass(frozen=True, slots=True)
class Weighed:
    """The blocks of a verdict: those that undo a live permit; and those with which it goes on to its end, though nothing more is signed upon them.

    What ran out says since when, of a self-test too, where the verdict does not: else a second running out could not be told from the first.
    """

    undoes: tuple[Finding, ...] = ()
    ran_out: tuple[Finding, ...] = ()

    @property
    def goes_on(self) -> bool:
        """Does nothing but what merely ran out stand against it?"""
        return bool(self.ran_out) and not self.undoes


def weighed(evidence: Evidence, verdict: Verdict, signed_at: datetime) -> Weighed:
    """Weigh the verdict upon this evidence. `signed_at`: when it was last signed, or stepped upon a verdict; asked again is the gate only where it matters."""
    matters = any(one.code in RUN_OUT for one in verdict.blocks)
    return undoing(verdict, assess(evidence, signed_at) if matters else verdict, evidence)


def says(ran_out: Iterable[Finding]) -> str:
    """What ran out, in one sentence without a name in it: for a stranger, and for paper."""
    things = " and ".join(dict.fromkeys(THINGS[one.code] for one in ran_out))
    return f"Since it was signed, {things} has run out; the locate stands, and this permit goes on to its end, but nothing more is signed upon it."


def undoing(now: Verdict, signed: Verdict, evidence: Evidence) -> Weighed:
    """Weigh the verdict of an instant against that of the last signing, both upon the records as they are known now.

    What is not plainly one of the exceptions undoes.
    """
    blocks = [one for one in now.blocks if one.code != BY_TIME]
    ran_out = tuple(one for one in blocks if one.code in RUN_OUT and _merely(one, now, signed, evidence))
    return Weighed(tuple(one for one in blocks if one not in ran_out), tuple(_since(one, now, evidence) for one in ran_out))


def _merely(one: Finding, now: Verdict, signed: Verdict, evidence: Evidence) -> bool:
    """Did it hold when it was signed, and did nothing but time end it since?"""
    if evidence.locate is None or (one.code, one.subject) in {(block.code, block.subject) for block in signed.blocks}:
        return False
    if one.code == SELF_TEST:
        return not _failed(one.subject, now, signed, evidence)
    later = one.since is not None and one.since > signed.at
    return later and not (one.code == OPERATOR and _withdrawn(one, now, evidence))


def _failed(subject: str, now: Verdict, signed: Verdict, evidence: Evidence) -> bool:
    """Has a self-test of the instrument failed since it was signed? (The gate has one code for a test that failed and one whose days are over.)"""
    tests = [one for kit in _kit(evidence, subject) for one in known_checks(kit, now.at) if one.kind == "self_test"]
    return not tests or tests[-1].failed or any(one.failed for one in tests if one.checked_at > signed.at)


def _since(one: Finding, now: Verdict, evidence: Evidence) -> Finding:
    """The same, of a self-test with the end of the days for which the latest was good."""
    if one.code != SELF_TEST:
        return one
    spans = (self_test_span(known_checks(kit, now.at), kit.self_test_days, now.at, now.zone) for kit in _kit(evidence, one.subject))
    return replace(one, since=next((span.ends for span in spans if span is not None), None))


def _kit(evidence: Evidence, subject: str) -> list[Instrument]:
    """The instrument of a finding, once, whatever it served as."""
    locate = evidence.locate
    named = (locate.receiver, locate.transmitter, locate.clamp, locate.sonde)
    return [one for one in named if one is not None and f"instrument:{one.instrument}" == subject][:1]


def _withdrawn(one: Finding, now: Verdict, evidence: Evidence) -> bool:
    """Was it taken from the operator after it had run out? The gate says then that it lapsed, for that came first."""
    thing = one.subject.rpartition("/")[2]
    days = [award.withdrawn_on for award in evidence.locate.operator.awards if thing in award.authorises and award.withdrawn_on is not None]
    return any(one.since <= day_start(day, now.zone) <= now.at for day in days)
