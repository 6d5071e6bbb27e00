"""What the pages, lists and papers of permits are told of their lives (see locates.permits.since)."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Case, CharField, Expression, F, Min, OuterRef, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce
from django.urls import reverse

from locates.life.facts import lives, steps_of
from locates.life.models import Step
from locates.life.rules.acts import (
    ACCEPTED,
    ACTS,
    BETWEEN,
    CANCELLED,
    ENDED,
    EXTEND,
    HAND_OVER,
    HANDED_BACK,
    ISSUED,
    ONE_TAP,
    OVER,
    PREPARED,
    STEPS,
    STOP,
    SUSPENDED,
    TAKE_OVER,
    TIME_UP,
    UNAIDED,
    UNDONE,
    WORKING,
)
from locates.life.rules.stead import ISSUES
from locates.life.rules.story import Life, open_to
from locates.life.rules.undoing import weighed
from locates.life.stead import absent, life_for
from locates.permits.models import Permit
from locates.permits.rules.evidence import Evidence
from locates.permits.since import CLOSED, HELD, OWED, Since, State
from records.base import ByWord
from records.firm.models import Person
from records.rules.dates import instant_says
from records.rules.verdict import Verdict

STATES_SAID = {
    PREPARED: State("prepared, nobody has signed"),
    ISSUED: State("issued, not accepted"),
    ACCEPTED: State("in force or not begun"),
    SUSPENDED: State("suspended", HELD),
    BETWEEN: State("between receivers", HELD),
    ENDED: State("ended, to be handed back", OWED),
    HANDED_BACK: State("handed back, to be cancelled", OWED),
    CANCELLED: State("cancelled", CLOSED),
}
# the steps that tell of a trouble: the work was stopped, or ended before its time
TROUBLES = tuple(name for name in STEPS if ACTS[name].leads in (SUSPENDED, ENDED) and name != TIME_UP)
WORDS = {SUSPENDED: "Suspended", BETWEEN: "Between receivers", ENDED: "Ended", HANDED_BACK: "Handed back", CANCELLED: "Cancelled"}
SHAPES = {SUSPENDED: "hold", BETWEEN: "hold"}
DEEDS = {
    "stop": ("Stop: something not on the plan", "stopped it: something was found that is not on the plan,"),
    "forbid": ("Suspend it from the office", "suspended it from the office"),
    "halt": ("Stop: not as the permit needs it", "stopped it at the look-over"),
    "suspend": ("Suspend it", "suspended it"),
    "undone": ("Suspend it, undone", "suspended it, for what it rests on does not hold any more,"),
    "resume": ("Resume it", "resumed it"),
    "hand_over": ("Hand it over", "handed it over"),
    "take_over": ("Take it over", "took it over"),
    "extend": ("Extend it", "extended it"),
    "end_scope": ("End it: other work is wanted", "ended it because other work is wanted"),
    "end_conditions": ("End it: the ground has changed", "ended it because the ground has changed"),
    "time_up": ("End it by its time", "ended it, its time being over,"),
    "hand_back": ("Hand it back", "handed it back"),
    "hand_back_for": ("Hand it back in its receiver’s place", "handed it back in the place of its receiver"),
    "cancel_for": ("Cancel it in its issuer’s place", "cancelled it in the place of its issuer"),
    "cancel": ("Cancel it", "cancelled it"),
    "withdraw": ("Withdraw it", "withdrew it"),
    "withdraw_for": ("Withdraw it in its issuer’s place", "withdrew it in the place of its issuer"),
}
GONE, INSTEAD = "has left or may {0} permits no more", "a safety manager, or whoever prepares permits for this site and may {0} them"
NO_ISSUER, FOR_ISSUER = (one.format("issue") for one in (GONE, INSTEAD))
NO_RECEIVER, FOR_RECEIVER = (one.format("receive") for one in (GONE, INSTEAD))
# where somebody is gone whom the permit waits for: what can no longer be done, and who does what in their place
ABSENT = {
    (ISSUED, ISSUES): f"{{name}}, who issued it, {NO_ISSUER}: nobody can accept it. In their place {FOR_ISSUER} can withdraw it.",
    (SUSPENDED, ISSUES): f"{{name}}, who issued it, {NO_ISSUER}: nobody can resume it. It is to be handed back; work goes on by a new permit that names it.",
    (HANDED_BACK, ISSUES): f"{{name}}, who issued it, {NO_ISSUER}. In their place {FOR_ISSUER} can cancel it, but not whoever handed it back.",
}
NOT_HELD = f"{{name}}, who holds it, {NO_RECEIVER}. In their place {FOR_RECEIVER} can hand it back."


@dataclass(frozen=True, slots=True)
class Past:
    """A step as the permit's page tells it."""

    name: str
    deed: str
    when: str
    why: str
    left: str
    declaration: str
    digest: str


def extended_to(signed: F) -> Expression:
    """Until when a permit runs: the last extension, or what was signed."""
    last = Step.objects.filter(permit=OuterRef("pk"), act=EXTEND).order_by("-number").values("until")[:1]
    return Coalesce(Subquery(last), signed)


def over() -> QuerySet[Any]:
    """The permits that somebody ended, handed back or cancelled."""
    return Step.objects.filter(act__in=OVER).values("permit")


def states() -> dict[str, State]:
    """The states of a permit, in their order."""
    return STATES_SAID


def with_states(permits: QuerySet[Any], at: datetime) -> QuerySet[Any]:
    """Each permit with how it stands at the instant, as `lived` has it: after its last step or by its signatures; and ended, once its time is over."""
    leads = ByWord(F("act"), {name: ACTS[name].leads for name in STEPS}, Value(""), CharField())
    last = Step.objects.filter(permit=OuterRef("pk")).order_by("-number").annotate(leads=leads).values("leads")[:1]
    signed = Case(When(accepted=True, then=Value(ACCEPTED)), When(issued=True, then=Value(ISSUED)), default=Value(PREPARED), output_field=CharField())
    timed = {name: Case(When(ends__lte=at, then=Value(ENDED)), default=Value(name)) for name in WORKING}
    state = ByWord(Coalesce(Subquery(last), signed), {name: timed.get(name, name) for name in STATES_SAID}, Value(""), CharField())
    return permits.annotate(state=state)


def noted() -> QuerySet[Any]:
    """The permits in whose life there was a trouble."""
    return Step.objects.filter(act__in=TROUBLES).values("permit")


def over_at(permits: Iterable[str]) -> dict[str, datetime]:
    """When somebody first ended, handed back or cancelled each permit, of those that somebody did. The watch, which ends by time alone, is nobody."""
    rows = Step.objects.filter(permit__permit__among=list(permits), act__in=set(OVER) - set(UNAIDED)).order_by()
    return dict(rows.values_list("permit").annotate(Min("done_at")))


def terms(permits: Iterable[str]) -> dict[str, tuple[str, datetime]]:
    """Who holds the permit and until when it runs, of each that was extended or taken over."""
    found: dict[str, tuple[str, datetime]] = {}
    rows = Step.objects.filter(permit__permit__among=list(permits), act__in=(EXTEND, TAKE_OVER)).select_related("permit").order_by("number")
    for one in rows:
        holder, ends = found.get(one.permit_id, (one.permit.receiver_id, one.permit.valid_to))
        found[one.permit_id] = (one.person_id, ends) if one.act == TAKE_OVER else (holder, one.until)
    return found


def told(permits: Iterable[str], at: datetime) -> dict[str, Since]:
    """What became of each permit that was accepted."""
    rows = list(Permit.objects.filter(permit__among=list(permits)).select_related("site"))
    steps, standing = steps_of(row.pk for row in rows), lives(rows, at)
    accepted = [row for row in rows if standing[row.pk].state not in (PREPARED, ISSUED)]
    return {row.pk: became(standing[row.pk], steps.get(row.pk, []), ZoneInfo(row.site.time_zone)) for row in accepted}


def goes_on(evidence: Evidence, verdict: Verdict, signed_at: datetime) -> bool:
    """Does nothing but what merely ran out since it was last signed stand against the permit?"""
    return weighed(evidence, verdict, signed_at).goes_on


def signed_last(permit: str) -> str:
    """The sheet of the last step that owed a clear verdict, as its text; "" where there is none."""
    return Step.objects.filter(permit=permit).exclude(sheet="").exclude(act=UNDONE).order_by("-number").values_list("sheet", flat=True).first() or ""


def became(life: Life, steps: Sequence[Step], zone: ZoneInfo) -> Since:
    """What became of a permit by its steps, the latest last."""
    last = past(steps[-1], zone) if steps else None
    by_time = life.state == ENDED and (last is None or steps[-1].act not in OVER or steps[-1].act == TIME_UP)
    if by_time:
        says = f"Its time ended on {instant_says(life.ends, zone)}; it is to be handed back."
    else:
        says = f"{last.name} {last.deed} on {last.when}.{_more(last)}" if last else ""
    left = next((one.left for one in reversed(steps) if one.left), "")
    noted = tuple(_noted(past(one, zone)) for one in steps if one.act in TROUBLES)
    return Since(WORDS.get(life.state, ""), says, life.state == ACCEPTED, life.signed_at, SHAPES.get(life.state, "over"), left, noted)


def _noted(one: Past) -> str:
    return f"{one.name} {one.deed} on {one.when}." + (f" Why: {one.why.rstrip('.')}." if one.why else "")


def _more(one: Past) -> str:
    return "".join(f" {head}: {said.rstrip('.')}." for head, said in (("Why", one.why), ("How the work was left", one.left)) if said)


def past(step: Step, zone: ZoneInfo) -> Past:
    deed = DEEDS[step.act][1]
    if step.act == HAND_OVER and step.to:
        deed += f" to {step.to.name}"
    if step.act == EXTEND and step.until:
        deed += f" to {instant_says(step.until, zone)}"
    return Past(step.printed_name, deed, instant_says(step.done_at, zone), step.why, step.left, step.declaration, step.digest)


def page(permit: Permit, reader: Person, at: datetime) -> dict[str, Any]:
    """The life so far, and what the reader may do now."""
    zone, life = ZoneInfo(permit.site.time_zone), life_for(permit, reader, at)
    steps = steps_of([permit.pk]).get(permit.pk, [])
    return {
        "template": "life/_story.html",
        "accepted": life.state != ISSUED,
        "past": [past(one, zone) for one in steps],
        "acts": [(reverse("step", args=[permit.pk, act]), DEEDS[act][0]) for act in open_to(life, reader.pk) if act not in ONE_TAP],
        "stop": reverse("stop", args=[permit.pk]) if STOP in open_to(life, reader.pk) else "",
        "receiver": Person.objects.get(pk=life.receiver).name if life.receiver != permit.receiver_id else "",
        "named": Person.objects.get(pk=life.named).name if life.named else "",
        "absent": [ABSENT.get((life.state, thing), NOT_HELD).format(name=name) for thing, name in absent(permit, life, at).items()],
    }
