"""Where the firm or one of its sites is exposed: what lapsed and lapses ahead, and the open permits at risk, each figure with the records behind it."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.safestring import mark_safe

from locates.desks import answers
from locates.desks import falling as falls
from locates.desks.facts import used_at
from locates.desks.forms import SiteForm
from locates.desks.own import due_says
from locates.instruments.facts import for_due
from locates.life.rules.acts import CANCELLED
from locates.logs import facts as logs
from locates.permits import lists
from locates.permits.desk import since_says
from locates.permits.models import Permit
from locates.permits.since import still_open
from locates.recall import beside as recalls
from locates.rules import due
from records.firm.facts import own_sites, own_zone
from records.firm.models import Person, Site
from records.rules.dates import day_says, local_day
from training import cover
from training.paper import ahead_svg
from training.rules.matrix import AHEAD, Falling, ahead, counted

LAPSED = 0
GROUPS = (LAPSED, *AHEAD)
TITLES = {LAPSED: "Lapsed already", **{days: f"Within {days} days" for days in AHEAD}}
LOOKED_BACK = timedelta(days=max(AHEAD))
MOST_JUDGED, MOST_AT_RISK, MOST_BARS = 100, 5, 8
EARLY = "window.outlasts_evidence"  # the gate's block of a permit whose evidence ends before it does


@dataclass(frozen=True)
class Owed:
    """One thing that an instrument needs, and when it falls: 0 for lapsed, else within 30, 60 or 90 days."""

    instrument: str
    name: str
    says: str
    within: int
    through: date | None

    @property
    def leads(self) -> str:
        return reverse("leaf", args=["instruments", self.instrument])


@dataclass(frozen=True)
class Figure:
    """So many of something, under a title, and the list of them."""

    title: str
    count: int
    leads: str


@dataclass(frozen=True)
class Risk:
    """An open permit that the gate blocks. `early`: for no other reason than that its evidence ends, or ran out, before it does. `when`: since or from when."""

    line: lists.Line
    early: bool
    when: str


def site_form(person: Person, at: datetime, data: Mapping[str, Any]) -> SiteForm:
    return SiteForm(own_sites(person, "site.see", at), data=data)


def page(person: Person, at: datetime, data: Mapping[str, Any]) -> dict[str, Any]:
    """The figures of the safety manager's first page, of the whole firm or the site that the address asks for."""
    form = site_form(person, at, data)
    site = form.chosen()
    asked = {"site": site.pk} if site else {}
    found, answered = cover.asked(person, at, asked), answers.falling(person, at, site)
    kept = f"?{urlencode(asked)}" if asked else ""
    lapses = cover.ahead(found)
    rows = [
        ("People’s authorisations", _figures(lapses, [f"{reverse('ahead')}{kept}#within-{place}" for place, _ in enumerate(GROUPS, 1)])),
        ("Instruments", _figures(owed(found.zone, at, used_at(site, at) if site else None), _by_when("kit_due", asked))),
        ("Owners’ answers", _figures((one for one in answered if one.within != answers.OWING), _by_when("answers_due", asked))),
    ]
    return {
        "form": form,
        "site": site,
        "kept": kept,
        "titles": TITLES.values(),
        "rows": rows,
        "gaps": Figure("", sum(len(row.gaps) for row in found.rows), f"{reverse('cover')}?{urlencode(asked | {'gaps': 'yes', 'sort': 'gaps'})}"),
        "owing": Figure("", sum(one.within == answers.OWING for one in answered), _by_when("answers_due", asked, [answers.OWING])[0]),
        "logs": logs.exposure(person, at),
        "doubts": recalls.exposure(person, at),
        "review": _review(person, at, asked),
        "emergencies": _emergencies(person, at, asked),
        **_lapsing(found, lapses),
        **_risks(person, at, asked),
    }


def _figures(found: Iterable[Falling], leads: list[str]) -> list[Figure]:
    counts = counted(found)
    return [Figure(TITLES[one], counts[one], lead) for one, lead in zip(GROUPS, leads, strict=True)]


def _by_when(name: str, asked: dict[str, Any], when: Iterable[int] = GROUPS) -> list[str]:
    """The addresses of just those of a list that fall then."""
    return [f"{reverse(name)}?{urlencode(asked | {'within': one})}" for one in when]


def _lapsing(found: cover.Asked, lapses: list[cover.Lapse]) -> dict[str, Any]:
    """What lapses first, drawn and in words."""
    alike = cover.together(lapses)
    first = alike[:MOST_BARS]
    words = [(one.first.row, one.what, cover.lapse_says(one.first), one.first.standing.in_date) for one in first]
    # drawn by our own paper, which escapes every word in it
    return {"chart": mark_safe(ahead_svg(cover.chart(found, first))) if first else "", "lapsing": words, "more_lapsing": len(alike) - len(first)}


# permits at risk


def _risks(person: Person, at: datetime, asked: dict[str, Any]) -> dict[str, Any]:
    """Of the open permits the first so many are judged here; the list judges the rest."""
    still = still_open(lists.chosen(lists.visible(person, at), asked, at), at)
    count = still.count()
    judged = _judged(still[:MOST_JUDGED], person, at)
    return {
        "open_permits": count,
        "judged": min(MOST_JUDGED, count),
        "early": sum(one.early for one in judged),
        "blocked": sum(not one.early for one in judged),
        "risky": judged[:MOST_AT_RISK],
        "more_risky": max(len(judged) - MOST_AT_RISK, 0),
        "all_risky": f"{reverse('permits')}?{urlencode(asked | {'verdict': 'blocked'})}",
    }


def _review(person: Person, at: datetime, asked: dict[str, Any]) -> Figure:
    """The permits that are closed and in whose life something was noted: they are gone through, so that the next ones go better."""
    closed = {"state": CANCELLED, "noted": "on"}
    return Figure("", lists.chosen(lists.visible(person, at), asked | closed, at).count(), f"{reverse('permits')}?{urlencode(asked | closed)}")


def _emergencies(person: Person, at: datetime, asked: dict[str, Any]) -> Figure:
    """Emergency work that both signed, begun in the last 90 days: each went without plans that others wait for. Its list holds other emergency work too."""
    rows = lists.chosen(lists.visible(person, at), asked | {"urgent": "on"}, at).filter(accepted=True, valid_from__gt=at - LOOKED_BACK, valid_from__lte=at)
    return Figure("", rows.count(), f"{reverse('permits')}?{urlencode(asked | {'urgent': 'on'})}")


def _judged(permits: QuerySet[Permit], person: Person, at: datetime) -> list[Risk]:
    return [_risk(line, at) for line in lists.lines(permits, at, person) if not line.verdict.clear]


def _risk(line: lists.Line, at: datetime) -> Risk:
    verdict = line.verdict
    early = all(one.code == EARLY for one in verdict.blocks) and verdict.good_until > at
    if early:
        return Risk(line, True, f"What it rests on ends {line.until_away}, the permit {line.ends_away}.")
    if line.goes_on:
        return Risk(line, True, f"It goes on to its end, {line.ends_away}; nothing more is signed upon it.")
    since = line.first.since if line.first else None
    return Risk(line, False, f"Since {since_says(since, at, verdict.zone)}." if since else "Blocked now.")


# instruments


def owed(zone: ZoneInfo, at: datetime, only: Collection[str] | None = None) -> list[Owed]:
    """What instruments in service need and lack, or will within 90 days, the soonest first; of some of them, or of all."""
    today = local_day(at, zone)
    found = (one for one in _every(zone, at, today) if only is None or one.instrument in only)
    return sorted(found, key=lambda one: (one.within, one.through or date.min, one.instrument))


def _every(zone: ZoneInfo, at: datetime, today: date) -> Iterator[Owed]:
    for key, instrument in for_due(at).items():
        if due.in_service(instrument, today):
            for need in due.needs(instrument, zone, at):
                if (within := _within(need, today)) is not None:
                    yield Owed(key, f"{instrument.kind.capitalize()} {key}", due_says(need, today), within, need.through)


def _within(need: due.Due, today: date) -> int | None:
    return ahead(need.through, today) if need.good else LAPSED


def kit_page(person: Person, at: datetime, site: Site | None, data: Mapping[str, Any]) -> dict[str, Any]:
    """The instruments that are due, by when."""
    zone = kit_zone(person, at, site)
    found = owed(zone, at, used_at(site, at) if site else None)
    return falls.page(found, TITLES, data) | {"day": day_says(local_day(at, zone)), "zone": zone.key}


def kit_rows(person: Person, at: datetime, site: Site | None, data: Mapping[str, Any]) -> Iterator[list[str]]:
    yield ["instrument", "state", "good_through", "within_days"]
    found = owed(kit_zone(person, at, site), at, used_at(site, at) if site else None)
    for one in falls.those(found, falls.asked_within(TITLES, data)):
        yield [one.instrument, one.says, str(one.through or ""), str(one.within)]


def kit_zone(person: Person, at: datetime, site: Site | None) -> ZoneInfo:
    return ZoneInfo(site.time_zone) if site else own_zone(person, at)
