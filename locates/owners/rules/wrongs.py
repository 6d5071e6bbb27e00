"""What makes a need of a rule set, a rating or an agreement with an owner wrong."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from locates.owners.rules.terms import ISOLATE, NOTHING
from records.rules.dates import local_day
from records.rules.names import owner_key
from records.rules.text import shown
from records.rules.words import DEFAULT_RULE_SET
from records.rules.wrong import Wrong, not_before, not_later, reason_owed

LONGEST_GOOD = timedelta(days=366)
UNPRESSED = ("electricity", "telecom")
SAYS = ("utility", "service_owner", "methods", "above_kv", "above_bar", "within_m", "blocks")


def need_wrongs(need: Any) -> Iterator[Wrong]:
    """The faults of a row of what a rule set needs of owners."""
    if need.rule_set_id == DEFAULT_RULE_SET:
        yield Wrong("rule_set", f"{DEFAULT_RULE_SET} is reserved and takes no rows: a name of the firm's own was expected")
    if need.needed == NOTHING:
        for column in SAYS:
            if getattr(need, column) not in (None, "", ()):
                yield Wrong(column, f"a row that lifts a need ({NOTHING}) says no more: nothing was expected here", ("needed",))
        return
    for column in ("within_m", "blocks"):
        if need.needed and getattr(need, column) is None:
            yield Wrong(column, f"it is missing: one was expected unless the row lifts the need ({NOTHING})", ("needed",))
    yield from _rated(need)


def _rated(need: Any) -> Iterator[Wrong]:
    if need.above_kv is not None and need.utility != "electricity":
        yield Wrong("above_kv", "only electricity has a voltage here: a row for electricity was expected", ("utility",))
    if need.above_bar is not None and (not need.utility or need.utility in UNPRESSED):
        yield Wrong("above_bar", "a row for one utility that runs under pressure was expected", ("utility",))


def rating_wrongs(rating: Any) -> Iterator[Wrong]:
    """The fault of a rating that tells nothing."""
    if rating.voltage_kv is None and rating.pressure_bar is None:
        yield Wrong("voltage_kv", "it tells nothing: a voltage or a pressure was expected", ("pressure_bar",))


def agreement_wrongs(agreement: Any, site: Any, service: Any) -> Iterator[Wrong]:
    """The faults of an agreement; those of its days at its site and of the service that it names too, where they are known."""
    yield from not_before(agreement, "good_through", "good_from")
    if agreement.good_from is not None:
        limit = agreement.good_from + LONGEST_GOOD
        yield from not_later(agreement, "good_through", limit, f"{LONGEST_GOOD.days} days after good_from", "good_from")
    yield from reason_owed(agreement, "withdrawn_on", "withdrawn_because")
    yield from _proof(agreement)
    if agreement.utility and agreement.service_id:
        yield Wrong("utility", "it names a service already: a utility or a service was expected, not both", ("service",))
    if service is not None:
        yield from _of_another(agreement, service)
    if site is not None and agreement.agreed_at is not None:
        yield from _days_wrong(agreement, ZoneInfo(site.time_zone))


def _proof(agreement: Any) -> Iterator[Wrong]:
    for column, other in (("proved_by", "proved_at"), ("proved_at", "proved_by")):
        if getattr(agreement, column) and not getattr(agreement, other):
            yield Wrong(other, f"it is missing: one was expected with {column}", (column,))
    if agreement.proved_at is not None and ISOLATE not in agreement.agreed:
        yield Wrong("proved_at", f"nothing was isolated: a proof was expected only where {ISOLATE} was agreed", ("agreed",))


def _of_another(agreement: Any, service: Any) -> Iterator[Wrong]:
    asked = service.enquiry
    if agreement.site_id and asked.site_id != agreement.site_id:
        yield Wrong("service", f"service {service.service} is of site {asked.site_id}: one of site {agreement.site_id} was expected", ("site",))
    if agreement.service_owner and owner_key(asked.service_owner) != owner_key(agreement.service_owner):
        says = f"service {service.service} is {shown(asked.service_owner)}'s, not {shown(agreement.service_owner)}'s: one of the same owner was expected"
        yield Wrong("service", says, ("service_owner",))


def _days_wrong(agreement: Any, zone: ZoneInfo) -> Iterator[Wrong]:
    agreed_on, through = local_day(agreement.agreed_at, zone), agreement.good_through
    if through is not None and through < agreed_on:
        yield Wrong("good_through", f"{through} is before {agreed_on}, when it was agreed: that day or a later one was expected", ("agreed_at", "site"))
    if agreement.withdrawn_on is not None and agreement.withdrawn_on < agreed_on:
        says = f"{agreement.withdrawn_on} is before {agreed_on}, when it was agreed: that day or a later one was expected"
        yield Wrong("withdrawn_on", says, ("agreed_at", "site"))
    if agreement.proved_at is None or None in (agreement.good_from, through):
        return
    proved_on, first = local_day(agreement.proved_at, zone), min(agreed_on, agreement.good_from)
    if not first <= proved_on <= through:
        yield Wrong(
            "proved_at", f"it was proved on {proved_on}: a day from {first} to {through} was expected", ("agreed_at", "good_from", "good_through", "site")
        )
