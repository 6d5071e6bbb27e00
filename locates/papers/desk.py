"""A looked-up permit in words: what a stranger with its paper in hand is told in five seconds, and never more than stands on that paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from locates.life.actions import Outlook
from locates.life.facts import done
from locates.life.rules.acts import BETWEEN, CANCELLED, ENDED, HANDED_BACK, SUSPENDED
from locates.life.rules.undoing import Weighed, weighed
from locates.life.rules.undoing import says as ran_out_says
from locates.papers.actions import sheet_now, upon
from locates.papers.models import Paper
from locates.papers.rules import BLOCKED, CHANGED, COMING, HOLDS, LATEST, OUTDATED, REPLACED, SUPERSEDED, UNKNOWN, UNSIGNED, UNTOLD, Standing, standing, worth
from locates.permits.desk import since_says
from locates.permits.owing import owing
from records.rules.dates import instant_says
from records.rules.says import end_says, full_says

STOP, GO, MIND = "stop", "go", "mind"
WORDS = {
    SUPERSEDED: (STOP, "Replaced", "A newer permit has taken its place. No digging on this paper: ask its issuer for the newer one."),
    ENDED: (STOP, "Ended", "Nobody digs by it any more. No digging on this paper."),
    BLOCKED: (STOP, "Not to dig", "Something that it rests on is missing or no longer good. Stop, and ask its issuer."),
    HANDED_BACK: (STOP, "Handed back", "The work by it is over. No digging on this paper."),
    CANCELLED: (STOP, "Cancelled", "It is over for good. No digging on this paper."),
    SUSPENDED: (STOP, "Suspended", "Digging was stopped. No digging until its issuer has resumed it."),
    BETWEEN: (STOP, "Handed over", "It is handed over and not yet taken over. No digging until it is."),
    UNSIGNED: (MIND, "Not signed yet", "A signature is still due. No digging yet."),
    COMING: (MIND, "Not begun", "It is signed, but its time is still to come. No digging yet."),
    HOLDS: (GO, "Holds now", "Both have signed, its time has begun, and nothing undoes it now. Keep to the conditions on the paper."),
}
LOOK_OVER_OWED = "Both have signed and its time has begun, but a look-over is owed that is not on record yet. No digging before it."
TURNS = {ENDED: "Ended", COMING: "Begins"}
PAPERS = {
    LATEST: (GO, "This paper is the latest: {it}."),
    CHANGED: (MIND, "This paper is the latest that was printed, {it}, but the permit has changed since."),
    REPLACED: (STOP, "This paper is not the latest: it is replaced by {it}."),
    UNKNOWN: (STOP, "No paper with this number was printed here. Do not work on it. The latest is {it}."),
    UNTOLD: (MIND, "The latest paper is {it}. Look whether yours bears that number."),
    OUTDATED: (MIND, "The latest paper is {it}, but the permit has changed since."),
}
# what to do about such a paper, while there can be one to work on
INSTEAD = {CHANGED: " Have it printed anew.", OUTDATED: " Have it printed anew.", REPLACED: " Work on that one only."}


@dataclass(frozen=True, slots=True)
class LookedUp:
    """The page's words. `kind` and `paper_kind` name the shape that stands beside them: stop, go or mind.

    `turn`: since when, from when or until when.
    """

    permit: str
    site: str
    kind: str
    word: str
    says: str
    turn: str
    issued_by: str
    paper_kind: str
    paper: str
    asked_at: str


def looked_up(papers: Sequence[Paper], mark: str, at: datetime) -> LookedUp:
    """`papers`: all that were issued of the permit, the latest last. `mark`: of the paper in hand, empty where the address names none."""
    last = papers[-1]
    now, sheet = sheet_now(last.permit_id, at)
    zone = now.verdict.zone
    found = weighed(now.evidence, now.verdict, now.life.signed_at)
    stands = standing_now(now, found)
    kind, word, says = WORDS[stands.word]
    if stands.word == HOLDS and owing([last.permit_id], None, at):
        kind, says = MIND, LOOK_OVER_OWED
    more = f" {ran_out_says(found.ran_out)}" if found.ran_out and stands.word in (HOLDS, COMING) else ""
    it = f"version {last.version}, printed {instant_says(last.printed_at, zone)}"
    told = worth(mark, [one.told for one in papers], upon(sheet))
    paper_kind, paper = PAPERS[told]
    instead = INSTEAD.get(told, "") if kind != STOP else ""
    # that nobody digs stands above it: beside that, nothing looks like leave to go on
    paper_kind = MIND if kind == STOP and paper_kind == GO else paper_kind
    return LookedUp(
        permit=last.permit_id,
        site=last.permit.site.name,
        kind=kind,
        word=word,
        says=f"{says}{more}",
        turn=_turn(stands, at, zone),
        issued_by=sheet["signatures"][0]["name"],
        paper_kind=paper_kind,
        paper=f"{paper.format(it=it)}{instead}",
        asked_at=instant_says(at, zone),
    )


def standing_now(now: Outlook, found: Weighed) -> Standing:
    """How the permit stands, with what was weighed of its verdict."""
    followed_at = min((one.issued_at for one in now.evidence.followers), default=None)
    return standing(now.life, done(now.steps[-1]) if now.steps else None, now.verdict, found.undoes, now.permit.valid_from, followed_at)


def _turn(stands: Standing, at: datetime, zone: ZoneInfo) -> str:
    """Since when, from when or until when; nothing where no instant is known."""
    if stands.turn is None:
        return ""
    if stands.word == HOLDS:
        return f"Good {end_says(stands.turn, zone)}."
    if stands.word == BLOCKED:
        return f"Since {since_says(stands.turn, at, zone)}."
    return f"{TURNS.get(stands.word, 'Since')} {full_says(stands.turn, at, zone)}."
