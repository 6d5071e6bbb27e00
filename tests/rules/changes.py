"""Small changes to a permit's evidence. Times are the site's own unless they bear an offset; an identifier that the evidence does not hold is refused."""

from collections.abc import Callable, Iterable
from dataclasses import fields, replace
from datetime import date
from decimal import Decimal
from typing import Any

from shapely.geometry import LineString

from locates.owners.rules.terms import Agreement, Need, Rating
from locates.permits.rules.evidence import Enquiry, Evidence, FoundWrong, Outcome, Person, PlanService, Sweep, Trace
from locates.rules.fitness import Calibration, Check, Instrument
from records.rules.cover import Award
from records.rules.numbers import Row
from tests.rules.cast import IN, KIT, SWEPT, instant

Change = Callable[[Evidence], Evidence]
INSTANTS = {"agreed_at", "proved_at", "valid_from", "valid_to", "answered_at", "started_at", "finished_at", "checked_at"}
DATES = {"left_on", "awarded_on", "expires_on", "withdrawn_on", "sent_on", "good_through", "closed_on", "calibrated_on", "due_on"}
DATES |= {"told_on", "good_from", "out_of_service_from", "hired_until", "effective_from"}


def _fit(evidence: Evidence, name: str, value: Any) -> Any:
    """Text as the field's own kind."""
    if not isinstance(value, str):
        return value
    if name in INSTANTS:
        return instant(value, evidence.site.zone)
    if name in DATES:
        return date.fromisoformat(value)
    return Decimal(value) if name.endswith(("_m", "_deg", "_kv", "_bar")) else value


def _fitted(evidence: Evidence, changes: dict[str, Any]) -> dict[str, Any]:
    return {name: _fit(evidence, name, value) for name, value in changes.items()}


def _swapped(items: Iterable[Any], name: str, change: Callable[[Any], Any]) -> tuple[Any, ...]:
    """The items, with the one whose identifier (its first field) is `name` changed."""
    items = tuple(items)
    hit = [item for item in items if getattr(item, fields(item)[0].name) == name]
    if not hit:
        raise KeyError(name)
    return tuple(change(item) if item in hit else item for item in items)


def together(*changes: Change) -> Change:
    def change(evidence: Evidence) -> Evidence:
        for one in changes:
            evidence = one(evidence)
        return evidence

    return change


def with_permit(**changes: Any) -> Change:
    return lambda all_: replace(all_, permit=replace(all_.permit, **_fitted(all_, changes)))


def with_roles(**roles: str | tuple[str, ...]) -> Change:
    """The permit's issuer, receiver or crew changed to others on it, by name."""

    def change(all_: Evidence) -> Evidence:
        permit = all_.permit
        people = {one.person: one for one in (permit.issuer, permit.receiver, *permit.crew)}
        found = {role: people[who] if isinstance(who, str) else tuple(people[one] for one in who) for role, who in roles.items()}
        return replace(all_, permit=replace(permit, **found))

    return change


def and_need(need: str = "mains", needed: str = "consult", /, **changes: Any) -> Change:
    """One more need of the rule set: of any owner within 3 m, in force for long and blocking, unless the changes say otherwise."""

    def change(all_: Evidence) -> Evidence:
        made = replace(Need(need, date(2026, 1, 1), needed, Decimal(3), source="the owner's rule"), **_fitted(all_, changes))
        return replace(all_, owners=replace(all_.owners, needs=(*all_.owners.needs, made)))

    return change


def and_rating(service: str, told_on: str, /, **changes: str) -> Change:
    made = Rating(service, date.fromisoformat(told_on), **{name: Decimal(value) for name, value in changes.items()})
    return lambda all_: replace(all_, owners=replace(all_.owners, ratings=(*all_.owners.ratings, made)))


def and_agreement(agreement: str, owner: str, *agreed: str, **changes: Any) -> Change:
    """One more agreement, of 1 March, good from the 2nd through the 10th for the whole site, unless the changes say otherwise."""

    def change(all_: Evidence) -> Evidence:
        plain = Agreement(agreement, owner, agreed, "Ro Hart", instant("2027-03-01T10:00", all_.site.zone), date(2027, 3, 2), date(2027, 3, 10))
        made = replace(plain, **_fitted(all_, changes))
        return replace(all_, owners=replace(all_.owners, agreements=(*all_.owners.agreements, made)))

    return change


def with_site(**changes: Any) -> Change:
    return lambda all_: replace(all_, site=replace(all_.site, **changes))


def with_rule(key: str, value: str, effective_from: str = "1900-01-01") -> Change:
    return lambda all_: replace(all_, rules=(*all_.rules, Row(key, date.fromisoformat(effective_from), value)))


def with_locate(**changes: Any) -> Change:
    return lambda all_: replace(all_, locate=replace(all_.locate, **_fitted(all_, changes)))


def without_locate() -> Change:
    return lambda all_: replace(all_, locate=None)


def _in_locate(part: str, name: str, changes: dict[str, Any]) -> Change:
    def change(all_: Evidence) -> Evidence:
        fitted = _fitted(all_, changes)
        return replace(all_, locate=replace(all_.locate, **{part: _swapped(getattr(all_.locate, part), name, lambda one: replace(one, **fitted))}))

    return change


def with_sweep(name: str, /, **changes: Any) -> Change:
    return _in_locate("sweeps", name, changes)


def with_trace(name: str, /, **changes: Any) -> Change:
    return _in_locate("traces", name, changes)


def _more(part: str, *items: Any) -> Change:
    return lambda all_: replace(all_, locate=replace(all_.locate, **{part: (*getattr(all_.locate, part), *items)}))


def and_sweep(name: str, technique: str, /, **changes: Any) -> Change:
    return together(_more("sweeps", Sweep(name, technique, SWEPT)), with_sweep(name, **changes))


def and_trace(name: str, technique: str, along: LineString, /, **changes: Any) -> Change:
    level = "A" if technique == "exposed" else "C"
    return together(_more("traces", Trace(name, "electricity", technique, along, level)), with_trace(name, **changes))


def and_outcome(service: str, outcome: str, note: str = "by word of the owner") -> Change:
    return _more("outcomes", Outcome(service, outcome, note))


def without(part: str, *names: str) -> Change:
    """Without these of the locate's sweeps, traces or outcomes; without any where none is named."""

    def change(all_: Evidence) -> Evidence:
        items = getattr(all_.locate, part)
        left = tuple(one for one in items if names and getattr(one, fields(one)[0].name) not in names)
        if names and len(left) != len(items) - len(names):
            raise KeyError(names)
        return replace(all_, locate=replace(all_.locate, **{part: left}))

    return change


def with_enquiry(name: str, /, **changes: Any) -> Change:
    return lambda all_: replace(all_, enquiries=_swapped(all_.enquiries, name, lambda one: replace(one, **_fitted(all_, changes))))


def and_enquiry(name: str, owner: str, /, **changes: Any) -> Change:
    """One more enquiry, of 22 February, not answered unless the changes say so."""

    def change(all_: Evidence) -> Evidence:
        return replace(all_, enquiries=(*all_.enquiries, replace(Enquiry(name, owner, date(2027, 2, 22)), **_fitted(all_, changes))))

    return change


def without_enquiries(*names: str) -> Change:
    """Without these; without any where none is named."""
    return lambda all_: replace(all_, enquiries=tuple(one for one in all_.enquiries if names and one.enquiry not in names))


def services(enquiry: str, *names: str, same_as: tuple[str, ...] = (), utility: str = "water", conductive: bool = False) -> tuple[PlanService, ...]:
    return tuple(PlanService(name, enquiry, utility, conductive, same_as) for name in names)


def with_person(name: str, /, **changes: Any) -> Change:
    def change(all_: Evidence) -> Evidence:
        fitted = _fitted(all_, changes)
        return _people(all_, lambda one: replace(one, **fitted) if one.person == name else one)

    return change


def with_award(person: str, award: str = "", /, **changes: Any) -> Change:
    """The person's first award, or the one named, changed."""

    def change(all_: Evidence) -> Evidence:
        fitted = _fitted(all_, changes)

        def mend(one: Person) -> Person:
            if one.person != person:
                return one
            return replace(one, awards=_swapped(one.awards, award or one.awards[0].award, lambda held: replace(held, **fitted)))

        return _people(all_, mend)

    return change


def and_award(person: str, award: str, awarded_on: str, *things: str, months: int | None = 36) -> Change:
    made = Award(award, frozenset(things), date.fromisoformat(awarded_on), months)
    return lambda all_: _people(all_, lambda one: replace(one, awards=(*one.awards, made)) if one.person == person else one)


def _people(all_: Evidence, mend: Callable[[Person], Person]) -> Evidence:
    permit = all_.permit
    permit = replace(permit, issuer=mend(permit.issuer), receiver=mend(permit.receiver), crew=tuple(mend(one) for one in permit.crew))
    return replace(all_, permit=permit, locate=all_.locate and replace(all_.locate, operator=mend(all_.locate.operator)))


def _kit(name: str, mend: Callable[[Evidence, Instrument], Instrument]) -> Change:
    def change(all_: Evidence) -> Evidence:
        kinds = [kind for kind in KIT if getattr(all_.locate, kind) and getattr(all_.locate, kind).instrument == name]
        (kind,) = kinds
        return replace(all_, locate=replace(all_.locate, **{kind: mend(all_, getattr(all_.locate, kind))}))

    return change


def with_instrument(name: str, /, **changes: Any) -> Change:
    return _kit(name, lambda all_, one: replace(one, **_fitted(all_, changes)))


def with_calibration(instrument: str, /, **changes: Any) -> Change:
    """The instrument's only calibration, changed."""
    return _kit(
        instrument,
        lambda all_, one: replace(one, calibrations=_swapped(one.calibrations, f"K-{instrument}", lambda made: replace(made, **_fitted(all_, changes)))),
    )


def and_calibration(instrument: str, name: str, calibrated_on: str, as_found: str = IN, as_left: str = IN) -> Change:
    made = Calibration(name, date.fromisoformat(calibrated_on), None, as_found, as_left)
    return _kit(instrument, lambda _, one: replace(one, calibrations=(*one.calibrations, made)))


def with_check(instrument: str, name: str, /, **changes: Any) -> Change:
    return _kit(instrument, lambda all_, one: replace(one, checks=_swapped(one.checks, name, lambda made: replace(made, **_fitted(all_, changes)))))


def and_check(instrument: str, name: str, checked_at: str, result: str, kind: str = "before_use") -> Change:
    return _kit(instrument, lambda all_, one: replace(one, checks=(*one.checks, Check(name, kind, instant(checked_at, all_.site.zone), result))))


def found_wrong(enquiry: str, *when: str) -> Change:
    """The answer was found wrong, at each of these instants."""

    def change(all_: Evidence) -> Evidence:
        told = tuple(FoundWrong(f"WP-{enquiry}-{number}", instant(one, all_.site.zone), f"a main is missing {number}.") for number, one in enumerate(when, 1))
        return replace(all_, enquiries=tuple(replace(one, found_wrong=told) if one.enquiry == enquiry else one for one in all_.enquiries))

    return change
