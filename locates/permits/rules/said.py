"""What owners are asked for and what they agreed to, as the paper has it: two tables in words."""

from typing import Any

from locates.owners.rules.terms import OWED, Agreement
from locates.permits.rules import owners
from locates.permits.rules.agreed import Asked, Held
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.form import tags
from locates.permits.rules.frame import framed
from records.rules.cover import Span
from records.rules.verdict import Verdict
from records.rules.words import spoken

NO_WORDS = "no conditions of its own are on record; its general rules come first all the same"


def owners_said(evidence: Evidence, verdict: Verdict) -> dict[str, Any]:
    """`needs`: what, near what (with its tag on the plan), by whose rule, what is on record. `agreements`: which, whose, what, in the owner's words.

    Nothing where there is neither.
    """
    frame = framed(evidence, verdict.at)
    every, held = owners.asked(frame), Held(frame)
    marks = {f"trace:{trace.trace}": tag for trace, tag in tags(evidence.locate.traces if evidence.locate else ())}
    needs = [_need(one, marks.get(one.place.subject, "")) for one in every]
    agreements = [_agreement(held, *one) for one in held.printed()]
    return {"needs": needs, "agreements": agreements} if needs or agreements else {}


def _need(one: Asked, tag: str) -> list[str]:
    verb = "must" if one.need.blocks else "should"
    answered = ", ".join(agreement.agreement for agreement, _ in one.relied)
    what = f"{one.owner or 'The owner, whom nobody recorded,'} {verb} {OWED[one.need.needed]}"
    return [what, f"{tag}: {owners.where(one)}" if tag else owners.where(one), f"{one.need.need}: {one.need.source}", answered or f"NOT ANSWERED: {one.why}"]


def _agreement(held: Held, agreement: Agreement, its: Span) -> list[str]:
    frame = held.frame
    name = ", ".join(filter(None, (agreement.agreement, agreement.reference_no and f"owner's reference {agreement.reference_no}")))
    end = f" through {frame.last_day(its.ends)}" if its.ends is not None else ""
    ground = "" if agreement.area is None else "; for part of the site only, as it is recorded"
    of = f"service {agreement.service}" if agreement.service else f"its {spoken(agreement.utility)}" if agreement.utility else "all its services"
    whose = f"{agreement.owner}, for {of}; agreed with {agreement.agreed_with} at {frame.says(agreement.agreed_at)}"
    words = agreement.conditions or NO_WORDS
    return [name, f"{whose}; good from {frame.from_says(its.begins)}{end}{ground}", "; ".join(owners.does(held, agreement)), words]
