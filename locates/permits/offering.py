"""What the preparing page offers and shows: the form with its choices, and beside each choice that cannot be made, why not. Every why is the gate's."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.forms import Form
from django.http import QueryDict
from django.utils.safestring import mark_safe

from locates.permits import besides, picking
from locates.permits.actions import Prospect
from locates.permits.besides import OWED, Besides
from locates.permits.forms import Offered, PrepareForm, as_typed
from locates.permits.lists import TIES
from locates.permits.models import Permit
from locates.permits.preparing import Draft, draft, usual_window
from locates.permits.registers import TABLES
from locates.permits.rules.candidates import Search
from locates.permits.sketch import sketch_svg, tells
from records.book import Ask, Book
from records.books.desk import shown
from records.books.fields import local_text
from records.books.leaf import facts
from records.books.words import Said
from records.exchange.scratch import Problem
from records.firm.facts import own_sites, posted_now
from records.firm.models import Person, Site
from records.identifiers import next_identifier
from records.rules.columns import OUTLINE
from records.rules.corners import listed as corners
from records.rules.kinds import UTC_ZONE
from records.rules.says import end_says
from records.rules.trench import written

ACT = "permit.enter"
PREFIX = "D-"
LABELS = {
    "permit": "Permit",
    "site": "Site",
    "locate": "Locate",
    "work": "The work",
    "outline": "Outline",
    "depth_m": "Depth, metres",
    "method": "Method",
    "valid_from": "Begins",
    "valid_to": "Ends",
    "issuer": "Issuer",
    "receiver": "Receiver",
    "crew": "Crew",
}
# how a permit is handed in: it has pages of its own, so it is on no shelf
SLIP = Book(
    slug="permits",
    title="Permits",
    noun="permit",
    tells="",
    table=TABLES[0],
    ties=TIES,
    shows=("permit",),
    asks=tuple(Ask(column, label) for column, label in LABELS.items()),
    beside=("site",),
    site="site",
)
ROLES = ("issuer", "receiver", "crew")
LONGEST_FIND = 200


@dataclass(frozen=True)
class Offer:
    """The form and what stands beside it. `draft` None: no site is chosen yet."""

    form: PrepareForm
    draft: Draft | None = None
    zone: ZoneInfo | None = None
    against: dict[str, list[picking.Against]] = field(default_factory=dict)
    crew: picking.Crew = field(default_factory=picking.Crew)
    besides: Besides | None = None

    @property
    def not_in_crew(self) -> int:
        """How many of those who were looked for cannot be in the crew."""
        return sum(one.found for one in self.against.get("crew", []))

    @property
    def forms(self) -> tuple[Form, ...]:
        return (self.form, *(self.besides.forms if self.besides else ()))

    def right(self) -> bool:
        """Can it be handed in?"""
        return not [one for one in self.forms if not one.is_valid()]

    def say(self, problems: Collection[Problem]) -> None:
        """Put what is wrong at its field."""
        self.besides.say(problems)
        for problem in (one for one in problems if one.file == SLIP.table.file):
            self.form.add_error(problem.column if problem.column in self.form.fields else None, problem.says)

    def unhurried(self) -> None:
        """A form that is only looked at complains of nothing that is still blank."""
        for form in self.forms:
            for name in [name for name, faults in form.errors.as_data().items() if all(fault.code in ("required", OWED) for fault in faults)]:
                del form.errors[name]


def begun(person: Person, at: datetime, asked: QueryDict) -> dict[str, Any]:
    """What the form begins with: the next number, a permit that it is to be like, what the address asks for."""
    start: dict[str, Any] = {"method": "hand", "permit": next_identifier(Permit, PREFIX)}
    sites = own_sites(person, ACT, at)
    if (only := list(sites[:2])) and len(only) == 1:
        start["site"] = only[0].pk
    return start | {name: asked[name] for name in ("site", "locate", "work") if asked.get(name)}


def with_window(start: dict[str, Any], site: Site | None, at: datetime) -> dict[str, Any]:
    """A window to begin with, on the site's own clock."""
    if site is None or "valid_from" in start:
        return start
    zone = ZoneInfo(site.time_zone)
    first, last = usual_window(zone, at)
    return start | {"valid_from": local_text(first, zone), "valid_to": local_text(last, zone)}


def stored(permit: Permit) -> dict[str, Any]:
    """A permit as the form shows it."""
    return as_typed(shown(SLIP, permit, ZoneInfo(permit.site.time_zone)))


def whole(permit: Permit) -> dict[str, Any]:
    """With what is on record beside it."""
    return stored(permit) | besides.stored(permit)


def after(permit: Permit) -> dict[str, Any]:
    """What a permit that follows this one begins with: all of it but the time, which is over or soon will be."""
    return {name: value for name, value in stored(permit).items() if name not in ("valid_from", "valid_to")} | {besides.FOLLOWS: permit.pk}


def offer(person: Person, at: datetime, *, data: QueryDict | None = None, initial: dict[str, Any] | None = None, fixed: str = "") -> Offer:
    """The form as it stands, with what its site offers. `fixed`: the stored permit that is being changed."""
    sites = own_sites(person, ACT, at)
    listed = [(one.pk, str(one)) for one in sites]
    chosen = _site(sites, (data if data is not None else initial or {}).get("site"))
    if chosen is None:
        return Offer(PrepareForm(listed, {}, None, fixed=bool(fixed), data=data, initial=initial))
    zone = ZoneInfo(chosen.time_zone)
    cells = _cells(listed, chosen, zone, data, initial, bool(fixed))
    with_it = besides.besides(chosen, fixed, data, initial or {})
    made = draft(chosen, cells, at, fixed, with_it.before, with_it.urgent.decided(at))
    here = set(posted_now(at).filter(site=chosen).values_list("person_id", flat=True))
    find = ((data if data is not None else {}).get("find") or "")[:LONGEST_FIND].strip()
    searches, people = made.searches(), {role: made.for_role(role) for role in ROLES}
    may = {role: [one for one in every if not one.against or picking.named(one, cells.get(role))] for role, every in people.items()}
    offered = {"locate": [_search_choice(one, zone) for one in searches if not one.against or one.locate.locate == cells.get("locate")]}
    offered |= {role: picking.grouped(every, here, zone) for role, every in may.items()}
    with_it.urgent.offer(offered["issuer"])
    against = {"locate": [_search_against(one) for one in searches if one.against]}
    against |= {role: [picking.against(one, find if role == "crew" else "") for one in every if one.against] for role, every in people.items()}
    form = PrepareForm(listed, offered, zone, fixed=bool(fixed), data=data, initial=initial)
    return Offer(form, made, zone, against, picking.crew(may["crew"], here, cells.get("crew"), find, zone), with_it)


def _site(sites: QuerySet[Site], key: str | None) -> Site | None:
    return sites.filter(pk=key.replace("\0", "")).first() if key else None


def _cells(sites: Offered, site: Site, zone: ZoneInfo, data: QueryDict | None, initial: dict[str, Any] | None, fixed: bool) -> dict[str, str]:
    """The cells of the permit as they could be made out, before it is known who may be chosen: for that the gate must have seen them."""
    if data is None:
        data = _as_data(initial or {})
    any_of = {name: [(one, one) for one in data.getlist(name) if one] for name in ("locate", "issuer", "receiver", "crew")}
    return PrepareForm(sites, any_of, zone, fixed=fixed, data=data).cells()


def _as_data(initial: dict[str, Any]) -> QueryDict:
    """What the form begins with, as it would be handed in."""
    data = QueryDict(mutable=True)
    for name, value in initial.items():
        if name in ("valid_from", "valid_to"):
            data[f"{name}_day"], data[f"{name}_time"] = value[:10], value[11:]
        elif isinstance(value, list):
            data.setlist(name, value)
        else:
            data[name] = value
    return data


def _search_choice(one: Search, zone: ZoneInfo) -> tuple[str, str]:
    until = f", good {end_says(one.ends, zone)}" if one.ends and not one.against else ""
    return one.locate.locate, f"{one.locate.locate} by {one.locate.operator.name}{until}{' (not as it stands)' if one.against else ''}"


def _search_against(one: Search) -> picking.Against:
    return picking.Against(f"{one.locate.locate} by {one.locate.operator.name}", tuple(finding.says for finding in one.against))


def fits(prospect: Prospect, at: datetime) -> bool:
    """Would a sooner end help: does the permit outlast its evidence, and is there time left before that ends?"""
    permit, good = prospect.evidence.permit, prospect.verdict.good_until
    return permit.valid_to > good > max(at, permit.valid_from)


def shorten(data: QueryDict, offer: Offer, at: datetime) -> None:
    """Set the end to the instant at which the first of what it rests on ends, where that leaves any time."""
    if offer.draft is None or offer.draft.missing or not fits(offer.draft.prospect(), at):
        return
    text = local_text(offer.draft.prospect().verdict.good_until, offer.zone or UTC_ZONE)
    data["valid_to_day"], data["valid_to_time"] = text[:10], text[11:]


def ground(draft: Draft) -> dict[str, Any]:
    """How the chosen locate swept the ground of the outline so far: a drawing, sentences, and whether an outline can be offered instead."""
    swept = draft.swept()
    if swept is None:
        return {}
    outline = draft.evidence().permit.outline if draft.outlined else None
    fits = swept.room if swept.room is not None and not (draft.outlined and swept.whole) else None
    # drawn by our own paper, which escapes every word in it
    return {"sketch": mark_safe(sketch_svg(swept, outline)), "told": tells(swept, outlined=draft.outlined), "room": fits is not None}


def outline_swept(data: QueryDict, offer: Offer, _at: datetime) -> None:
    """Set the outline to the largest that the ground swept in every mode has room for, where there is one."""
    swept = offer.draft.swept() if offer.draft else None
    if swept is not None and swept.room is not None:
        data["before"], data["before_width"] = data.get("outline", ""), data.get("width", "")
        data["outline"], data["width"] = corners(OUTLINE.read(written(swept.room))), ""


def outline_before(data: QueryDict, _offer: Offer, _at: datetime) -> None:
    """Set the outline back to what was typed before another was taken."""
    if before := data.get("before"):
        data["outline"], data["width"] = before, data.get("before_width", "")
        del data["before"]


MENDS = {"shorten": shorten, "outline": outline_swept, "put_back": outline_before}


def told(permit: str, at: datetime) -> list[Said]:
    """The permit as it is stored now, in words."""
    record = SLIP.rows().get(pk=permit)
    return facts(SLIP, record, ZoneInfo(record.site.time_zone), at)
