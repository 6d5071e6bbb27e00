"""What the page of a locate under way offers: its forms with their choices and what they begin with."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.urls import reverse

from locates.fieldwork import facts
from locates.fieldwork import forms as f
from locates.fieldwork.books import SHEETS
from locates.fieldwork.models import FieldSheet
from locates.fieldwork.rules import offers
from locates.fieldwork.rules.tally import across, along
from locates.fieldwork.rules.underway import Sheet
from locates.instruments.models import Instrument
from locates.permits.rules.evidence import Enquiry, PlanService
from locates.permits.rules.frame import Frame, framed
from locates.permits.rules.search import Account, accounts
from locates.surveys.books import LOCATES
from locates.surveys.models import Locate
from locates.surveys.models import PlanService as Shown
from records.book import Book
from records.books.actions import linked
from records.books.words import texts
from records.firm.models import Person
from records.ledger.chain import digest
from records.rules.words import EXPOSED, INSTRUMENT_KINDS, PASSIVE, spoken

RAISED_BY = "0.5"
DIG_COLUMNS, PLANS_COLUMNS, MARKS_COLUMNS = ("outline", "depth_m", "method"), ("plans_seen",), ("marks", "marks_note", "marked_at")


def address(sheet: str) -> str:
    """The page of the locate with this sheet, at the step that comes next."""
    return reverse("locating", args=[sheet]) + "#now"


def stored_texts(book: Book, key: str) -> dict[str, str]:
    """A stored record's columns as text."""
    return texts(book, book.rows().get(pk=key), linked(book, key))


def part_seen(book: Book, key: str, columns: Iterable[str]) -> str:
    """The digest of some columns of a stored record, for a form that shows them."""
    told = stored_texts(book, key)
    return digest("\n".join(told[name] for name in sorted(columns)))


# what it is located with


def named(one: Instrument) -> tuple[str, str]:
    return one.pk, f"{one.pk}, serial no. {one.serial_no}"


def kit_choices(at: datetime) -> dict[str, list[tuple[str, str]]]:
    return {kind: [named(one) for one in facts.instruments(kind, at)] for kind in INSTRUMENT_KINDS}


def kit_form(sheet: FieldSheet, at: datetime, **given: Any) -> f.KitForm:
    held = {kind: getattr(sheet.locate, f"{kind}_id") for kind in INSTRUMENT_KINDS}
    choices = kit_choices(at)
    for kind in INSTRUMENT_KINDS:  # one that went out of service since is still what it was begun with
        one = getattr(sheet.locate, kind) if held[kind] else None
        if one is not None and named(one) not in choices[kind]:
            choices[kind].append(named(one))
    return f.KitForm(choices, initial=held, place="kit", **given)


def begin_form(sheet: FieldSheet, person: Person, at: datetime, dig: str = "", **given: Any) -> f.BeginForm:
    """`dig`: the permit that the locate is made for."""
    digs = [(one.pk, f"{one.pk}: {one.work}"[:120]) for one in facts.digs(sheet.locate.site, at)]
    return f.BeginForm(digs, offered=kit_choices(at), initial={"sheet": sheet.pk, "dig": dig, **facts.last_kit(person)}, place="begin", **given)


# plans and services


def plans(sheet: FieldSheet, at: datetime) -> list[tuple[str, str]]:
    """The answers of owners that are good now, as the form offers them."""
    evidence, _ = facts.gathered(sheet, at)
    return plan_choices(framed(evidence, at))


def plan_choices(frame: Frame) -> list[tuple[str, str]]:
    """Each answer in words; of one that was found wrong, that it was, for whoever has its plans in hand."""
    return [(one.enquiry, f"{one.service_owner} ({one.enquiry}){_wrong(one, frame)}") for one in frame.good_answers if one.answered_at is not None]


def _wrong(one: Enquiry, frame: Frame) -> str:
    told = [wrong.what.rstrip(".") for wrong in one.found_wrong if wrong.found_at <= frame.at]
    return f": FOUND WRONG, {'; '.join(told)}" if told else ""


def services_at(sheet: FieldSheet) -> list[tuple[str, str]]:
    """All services of the site's plans, as a trace may name them."""
    shown = Shown.objects.filter(enquiry__site=sheet.locate.site_id).select_related("enquiry").order_by("pk")
    return [(one.pk, f"{one.pk}: {spoken(one.utility)}, {one.enquiry.service_owner}") for one in shown]


@dataclass(frozen=True, slots=True)
class Owed:
    """A service of the plans to account for: how it stands, what is offered for it, and the forms that account for it."""

    service: PlanService
    owner: str
    note: str
    account: Account
    offers: list[offers.Offer]
    trace: f.TraceForm
    outcome: f.OutcomeForm

    @property
    def name(self) -> str:
        return f"{spoken(self.service.utility).capitalize()} {self.service.service}"

    @property
    def state(self) -> str:
        if self.account.vouching:
            return f"traced: {', '.join(one.trace for one in self.account.vouching)}"
        if self.account.by_word:
            return "outside the dig, by word alone"
        return "not found: taken as live" if self.account.condition else "open"

    @property
    def best(self) -> offers.Offer:
        return offers.best(self.offers)

    @property
    def trace_place(self) -> str:
        return f"trace-{self.service.service}"

    @property
    def outcome_place(self) -> str:
        return f"outcome-{self.service.service}"

    @property
    def open(self) -> bool:
        return self.account.block is not None


@dataclass(frozen=True, slots=True)
class Bound:
    """A form that was handed in and is not right: of which piece, at which place of the page."""

    what: str
    place: str
    form: Any


def handed_back(bound: Bound | None, what: str, place: str, fresh: Any) -> Any:
    """The form that was handed in there and is not right, else a fresh one."""
    return bound.form if bound is not None and (bound.what, bound.place) == (what, place) else fresh


def owed(sheet: FieldSheet, frame: Frame, every: list[tuple[str, str]], bound: Bound | None = None) -> list[Owed]:
    """Every service to account for, the open ones first."""
    owners = {one.enquiry: one.service_owner for one in frame.enquiries}
    notes = dict(Shown.objects.filter(pk__in=[one.service for one in frame.services]).values_list("pk", "note"))
    raised_by = _last_raised(frame)
    made = []
    for account in accounts(frame):
        service = account.service
        offered = offers.offers(frame, service)
        best = offers.best(offered).technique
        start = {"utility": service.utility, "technique": best, "services": [service.service], "quality_level": level(best), "raised_by_m": raised_by}
        place = f"trace-{service.service}"
        trace = handed_back(bound, "trace", place, f.TraceForm(every, frame.scheme.short, place=place, initial=start))
        beside = f"outcome-{service.service}"
        without = f.OutcomeForm(place=beside, initial={"service": service.service, "outcome": "outside_dig"})
        outcome = handed_back(bound, "outcome", beside, without)
        made.append(Owed(service, owners.get(service.enquiry, ""), notes.get(service.service, ""), account, offered, trace, outcome))
    return sorted(made, key=lambda one: not one.open)


def _last_raised(frame: Frame) -> str:
    """By how much the receiver was raised last: it is likely raised so again."""
    raised = [one.raised_by_m for one in frame.locate.traces if one.raised_by_m is not None]
    return f"{raised[-1].normalize():f}" if raised else RAISED_BY


def level(technique: str) -> str:
    """The quality level that a technique usually gives."""
    return "A" if technique == EXPOSED else "C" if technique in PASSIVE else "B"


def trace_form(sheet: FieldSheet, at: datetime, place: str, **given: Any) -> f.TraceForm:
    evidence, _ = facts.gathered(sheet, at)
    return f.TraceForm(services_at(sheet), framed(evidence, at).scheme.short, place=place, **given)


# sweeps


def sweep_form(technique: str, sheet: Sheet, frame: Frame) -> f.SweepForm:
    """A sweep as it is usually made: all of the needed ground, along the dig and across it; an active one in one direction."""
    first = along(sheet.outline) if sheet.outline is not None else 0
    start: dict[str, Any] = {"technique": technique, "ground": f.WHOLE if sheet.outline is not None else f.DRAWN, "bearing_deg": first}
    passive = technique in PASSIVE
    if passive and frame.numbers.yes("two_directions"):
        start["across_deg"] = across(first)
    return f.SweepForm(passive, place=f"sweep-{technique if passive else 'active'}", initial=start)


def seen_parts(sheet: FieldSheet) -> dict[str, str]:
    """For the forms that change what is stored: what they saw."""
    parts = {"dig": DIG_COLUMNS, "plans": PLANS_COLUMNS, "marks": MARKS_COLUMNS}
    if not Locate.objects.filter(pk=sheet.locate_id).exists():
        return dict.fromkeys((*parts, "kit"), "")
    return {name: part_seen(SHEETS, sheet.pk, columns) for name, columns in parts.items()} | {"kit": part_seen(LOCATES, sheet.locate_id, INSTRUMENT_KINDS)}
