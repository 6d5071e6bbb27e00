"""Where to do what a remedy asks for: for each reason of the gate the pages on which it is mended, so far as the person may."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from locates.owners.rules.terms import ISOLATE
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.owners import BLOCKS as OWNER_BLOCKS
from records.access import may
from records.firm.models import Person
from records.rules.names import owner_key
from records.rules.verdict import Finding


@dataclass(frozen=True)
class Way:
    """A page on which something is mended: its words and address, and the act that the person must be allowed."""

    words: str
    address: str
    act: str


@dataclass(frozen=True)
class Matter:
    """A finding with what it is about. `signed`: whether anybody has signed the permit; `stored`: whether it is on record."""

    finding: Finding
    evidence: Evidence
    signed: bool
    stored: bool

    @property
    def about(self) -> str:
        return self.finding.subject.partition(":")[2].partition("/")[0]

    @property
    def thing(self) -> str:
        return self.finding.subject.partition("/")[2]

    @property
    def site(self) -> str:
        return self.evidence.site.site

    @property
    def owner(self) -> str:
        """The owner of the enquiry that it is about."""
        return next((one.service_owner for one in self.evidence.enquiries if one.enquiry == self.about), "")

    @property
    def open_locate(self) -> str:
        """The permit's locate, while it is not finished."""
        locate = self.evidence.locate
        return locate.locate if locate is not None and locate.finished_at is None else ""


Ways = Callable[[Matter], Iterator[Way]]


def entering(slug: str, kind: str, words: str, /, **held: str) -> Way:
    asked = urlencode({name: value for name, value in held.items() if value})
    return Way(words, f"{reverse('enter', args=[slug])}{'?' if asked else ''}{asked}", f"{kind}.enter")


def opening(slug: str, key: str, kind: str, words: str) -> Way:
    return Way(words, reverse("leaf", args=[slug, key]), f"{kind}.see")


def the_permit(matter: Matter) -> Iterator[Way]:
    """Change the permit; a signed one takes a new one. One that is only being prepared is on the same page."""
    permit = matter.evidence.permit.permit
    if matter.stored and matter.signed:
        yield Way("Prepare another like it", f"{reverse('prepare')}?{urlencode({'like': permit})}", "permit.enter")
    elif matter.stored:
        yield Way("Change the permit", reverse("change_permit", args=[permit]), "permit.enter")


def the_other(matter: Matter) -> Iterator[Way]:
    """End the permit that this one follows, or hand it back; it stands on its own page who can."""
    yield Way(f"End permit {matter.about}", reverse("step", args=[matter.about, "end_scope"]), "permit.see")
    yield Way("Hand it back", reverse("step", args=[matter.about, "hand_back"]), "permit.see")


def the_newer(matter: Matter) -> Iterator[Way]:
    yield Way(f"Permit {matter.about}", reverse("permit", args=[matter.about]), "permit.see")


def a_follow_up(matter: Matter) -> Iterator[Way]:
    yield Way(f"Record the follow-up of {matter.about}", reverse("follow_up", args=[matter.about]), "permit.enter")


def a_locate(matter: Matter) -> Iterator[Way]:
    """Go on with a locate that is not finished; else a new one."""
    if matter.open_locate:
        yield Way("Go on with the locate", reverse("field_of", args=[matter.open_locate]), "locate.enter")
    permit = matter.evidence.permit.permit if matter.stored else ""
    yield Way(
        "Begin a locate",
        f"{reverse('begin_locate', args=[matter.site])}{'?' if permit else ''}{urlencode({'dig': permit} if permit else {})}",
        "fieldsheet.enter",
    )
    yield entering("locates", "locate", "Enter one made on paper", site=matter.site)


def another_locate(matter: Matter) -> Iterator[Way]:
    yield from the_permit(matter)
    yield from a_locate(matter)


def an_enquiry(matter: Matter) -> Iterator[Way]:
    owner = matter.about if matter.finding.subject.startswith("owner:") else matter.owner
    yield entering("enquiries", "enquiry", f"Ask {owner or 'the owners'}", site=matter.site, service_owner=owner)


def a_right_plan(matter: Matter) -> Iterator[Way]:
    """Ask the owner again, then search the ground again."""
    yield from an_enquiry(matter)
    yield from a_locate(matter)


def an_answer(matter: Matter) -> Iterator[Way]:
    yield Way("Record the answer", reverse("correct", args=["enquiries", matter.about]), "enquiry.enter")
    yield Way("Give up waiting", reverse("end", args=["enquiries", matter.about, "closed_on"]), "enquiry.enter")


def the_services(matter: Matter) -> Iterator[Way]:
    yield entering("services", "planservice", "Enter what the plans show", enquiry=matter.about)
    yield Way("Say that they show nothing", reverse("correct", args=["enquiries", matter.about]), "enquiry.enter")


def a_sweep(matter: Matter) -> Iterator[Way]:
    if matter.open_locate:
        yield entering("sweeps", "sweep", "Enter a sweep", locate=matter.open_locate, technique=matter.about)
    else:
        yield from a_locate(matter)


def a_trace(matter: Matter) -> Iterator[Way]:
    if matter.open_locate:
        yield entering("traces", "trace", "Enter a trace", locate=matter.open_locate)
        yield entering("outcomes", "outcome", "Say how it was accounted for", locate=matter.open_locate, service=matter.about)
    else:
        yield from a_locate(matter)


def an_award(matter: Matter) -> Iterator[Way]:
    yield entering("awards", "award", "Record an award", person=matter.about)
    yield Way("Who could stand in", f"{reverse('stand_in', args=[matter.about])}?{urlencode({'thing': matter.thing})}", "cover.see")
    yield from the_permit(matter)


def the_operator(matter: Matter) -> Iterator[Way]:
    yield entering("awards", "award", "Record an award", person=matter.about)
    yield from a_locate(matter)


def somebody_else(matter: Matter) -> Iterator[Way]:
    yield from the_permit(matter)
    yield opening("people", matter.about, "person", "Their record")


def a_calibration(matter: Matter) -> Iterator[Way]:
    yield entering("calibrations", "calibration", "Record a calibration", instrument=matter.about)
    yield from a_locate(matter)


def a_self_test(matter: Matter) -> Iterator[Way]:
    yield Way("Record a self-test", f"{reverse('check', args=[matter.about])}?kind=self_test", "check.enter")
    yield from a_locate(matter)


def a_check(matter: Matter) -> Iterator[Way]:
    yield entering("checks", "check", "Enter a check that was made", instrument=matter.about, kind="before_use")
    yield from a_locate(matter)


def the_instrument(matter: Matter) -> Iterator[Way]:
    yield opening("instruments", matter.about, "instrument", "The instrument")
    yield from a_locate(matter)


def an_agreement(matter: Matter) -> Iterator[Way]:
    """A form for what each owner agreed that is asked there; where one has agreed to isolate, a place for the proof."""
    kind = next(kind for kind, code in OWNER_BLOCKS.items() if code == matter.finding.code)
    for owner, service, utility in _whose(matter):
        for one in matter.evidence.owners.agreements:
            if kind == ISOLATE in one.agreed and one.proved_at is None and owner_key(one.owner) == owner_key(owner):
                yield Way(f"Record who proved it ({one.agreement})", reverse("correct", args=["owner-agreements", one.agreement]), "owneragreement.enter")
        if service and _unrated(matter, service):
            yield entering("ratings", "rating", f"Record the voltage or pressure of {service}", service=service)
        words = f"Record what {owner or 'its owner'} agreed"
        yield entering(
            "owner-agreements", "owneragreement", words, site=matter.site, service_owner=owner, service=service, utility="" if service else utility, agreed=kind
        )
    yield from the_permit(matter)


def _unrated(matter: Matter, service: str) -> bool:
    """Could a voltage or pressure on record say that no need speaks of the service?"""
    terms = matter.evidence.owners
    limited = any(one.above_kv is not None or one.above_bar is not None for one in terms.needs)
    return limited and all(one.service != service for one in terms.ratings)


def _whose(matter: Matter) -> list[tuple[str, str, str]]:
    """The owners of the services at the place, each with the service, where it is one alone, and its utility."""
    locate = matter.evidence.locate
    trace = next((one for one in locate.traces if matter.finding.subject == f"trace:{one.trace}"), None)
    names = (matter.about,) if trace is None else trace.services
    found: dict[str, list[tuple[str, str, str]]] = {}
    for asked in matter.evidence.enquiries:
        for one in asked.services:
            if one.service in names:
                found.setdefault(owner_key(asked.service_owner), []).append((asked.service_owner, one.service, one.utility))
    single = [group[0] if len(group) == 1 else (group[0][0], "", group[0][2]) for _, group in sorted(found.items())]
    return single or [("", "", trace.utility if trace else "")]


WAYS: dict[str, Ways] = {
    **dict.fromkeys(("window.reversed", "window.past", "window.over_limit", "window.outlasts_evidence"), the_permit),
    **dict.fromkeys(("people.issuer_is_receiver", "people.issuer_in_crew", "people.no_crew"), the_permit),
    "follows.still_open": the_other,
    **dict.fromkeys(("emergency.by_machine", "emergency.over_hours", "emergency.decider", "emergency.decided_late"), the_permit),
    "emergency.follow_up_owed": a_follow_up,
    "follows.replaced": the_newer,
    **dict.fromkeys(("plans.none", "plans.not_asked", "plans.lapsed", "plans.other_ground"), an_enquiry),
    "plans.unanswered": an_answer,
    "plans.after_locate": a_locate,
    "plans.wrong": a_right_plan,
    "plans.not_entered": the_services,
    **dict.fromkeys(("locate.none", "locate.other_site"), another_locate),
    **dict.fromkeys(("locate.unfinished", "locate.lapsed", "locate.too_long"), a_locate),
    **dict.fromkeys(("locate.not_swept", "locate.one_direction"), a_sweep),
    **dict.fromkeys(("service.not_found", "service.wrong_technique", "service.unaccounted"), a_trace),
    **dict.fromkeys(("operator.withdrawn", "operator.lapsed", "operator.not_begun", "operator.never"), the_operator),
    "operator.left": a_locate,
    "instrument.none": a_locate,
    "instrument.out_of_service": the_instrument,
    **dict.fromkeys(("instrument.not_yet_calibrated", "instrument.calibration_failed", "instrument.calibration_lapsed"), a_calibration),
    **dict.fromkeys(("instrument.check_failed", "instrument.check_missing"), a_check),
    "instrument.self_test_lapsed": a_self_test,
    **dict.fromkeys(("instrument.recall_unknown", "instrument.recalled"), the_instrument),
    **{f"{role}.{how}": an_award for role in ("issuer", "receiver", "crew") for how in ("withdrawn", "lapsed", "not_begun", "never")},
    **{f"{role}.left": somebody_else for role in ("issuer", "receiver", "crew")},
    "clearance.bore_unexposed": a_trace,
    **dict.fromkeys(OWNER_BLOCKS.values(), an_agreement),
}


def ways(finding: Finding, evidence: Evidence, person: Person, *, signed: bool, stored: bool = True) -> list[Way]:
    """Where the person can mend what the gate found; nothing where only others can, or where it is no block."""
    find = WAYS.get(finding.code)
    matter = Matter(finding, evidence, signed, stored)
    return [way for way in find(matter) if may(person, way.act)] if find else []
