"""Telling ahead what lapses, in one errand for the readers of a zone; and who arranges and chooses what is told."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.urls import reverse

from locates.instruments.facts import for_due
from locates.life.rules.acts import WATCH
from locates.watch import lapsing
from locates.watch.facts import Days, arrangement, chosen_by, staff, told_already, zones_to_tell
from locates.watch.lapsing import About, Posted
from locates.watch.models import Arranged, Chosen, Round, Told
from locates.watch.readers import News, Sorted, news
from locates.watch.rules.arrangement import ANSWERS, AWARDS, INSTRUMENTS, LINES, OWN, Arrangement, Line, kept, told
from locates.watch.rules.letter import Group, subject, text
from records.firm.actions import actor
from records.firm.facts import own_zones
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.chain import Actor, canonical
from records.letters.actions import New, post_all
from records.letters.facts import at_page
from records.letters.models import Letter
from records.rules.dates import local_day

PAGES = {AWARDS: "ahead", INSTRUMENTS: "kit_due", ANSWERS: "answers_due"}


def tell_ahead(at: datetime) -> int:
    """Post today's letters to everyone whose day is so far on and who was not told yet on it; how many letters.

    Never twice, whoever else does the same now: the errands queue, and the second finds the round made.
    """
    arranged, people = arrangement(), staff(at)
    zones = own_zones(people, at)
    waiting = zones_to_tell(zones.values(), arranged.hour, at)
    if not waiting:
        return 0
    where, kit, used = lapsing.posted(at), for_due(at), lapsing.using(at)
    common = [*lapsing.awards(people, zones, where, at), *lapsing.digs(at)]
    posted = 0
    for zone in waiting:
        every = [*common, *lapsing.instruments(kit, used, zone, at)]
        posted += _round([one for one in people if zones[one.pk] == zone], every, where, arranged, zone, at)
    return posted


def _round(people: list[Person], every: list[About], where: Posted, arranged: Arrangement, zone: ZoneInfo, at: datetime) -> int:
    """Tell the readers of one zone, unless somebody else did meanwhile. All is written down before the errand, which holds up every other."""
    day = local_day(at, zone)
    asked = _asked(people, every, where, arranged, day)
    letters = [New(f"ahead/{one.pk}/{day}", one, *_written(one, some), pressing=False) for one, some in asked]
    told_by = {letter.key: some for letter, (_, some) in zip(letters, asked, strict=True)}
    with errand(Actor("", WATCH), at, may_be_empty=True) as underway:
        if Round.objects.filter(zone=zone.key, day=day).exists():
            return 0
        Round.objects.create(zone=zone.key, day=day, at=at)
        posted = post_all(underway, letters, at)
        Told.objects.bulk_create(_note(letter, one) for letter in posted for one in told_by[letter.key])
        if posted:
            underway.write("told_ahead.posted", "told_ahead", f"{zone.key}/{day}", f"letters of {day}, {zone.key}", at, after={"letters": len(posted)})
    return len(posted)


def _asked(people: list[Person], every: list[About], where: Posted, arranged: Arrangement, day: date) -> list[tuple[Person, list[News]]]:
    """What each of them is to be told, of those for whom there is something. Only a round tells them, so that what it finds told stays so until it is made."""
    keys = [one.pk for one in people]
    found, chosen = Sorted(every, max(max(arranged.of(line), default=0) for line in LINES)), chosen_by(keys)
    before = told_already(keys, min((one.thing.today for one in every), default=day))
    each = ((one, news(one, found, where.supervised.get(one.pk, ()), arranged, chosen.get(one.pk, {}), before)) for one in people)
    return [(one, some) for one, some in each if some]


def _note(letter: Letter, one: News) -> Told:
    return Told(letter=letter, person_id=letter.person_id, thing=one.thing.key, last_day=one.thing.last_day, days=one.days)


def _written(person: Person, some: Iterable[News]) -> tuple[str, str]:
    """The subject and the text of the reader's letter."""
    by_line: dict[Line, list[News]] = defaultdict(list)
    for one in some:
        by_line[one.line].append(one)
    groups = [Group(line, [one.thing for one in by_line[line]], at_page(_page(line))) for line in LINES if line in by_line]
    return subject(groups), text(person.name, groups, at_page(reverse("told_ahead_to_me")))


def _page(line: Line) -> str:
    """Where all of it is listed, for that reader."""
    of, reader = line
    return reverse("mine" if reader == OWN and of in (AWARDS, INSTRUMENTS) else PAGES.get(of, "permits"))


# arranging and choosing


def arrange(by: Person, new: Arrangement, at: datetime) -> bool:
    """Have this told ahead from now on; is it another than before?"""
    with errand(actor(by), at, may_be_empty=True) as underway:
        before, after = told(arrangement()), told(new)
        if before == after:
            return False
        Arranged.objects.create(told=canonical(after), recorded_at=at)
        underway.write("told_ahead.arranged", "told_ahead", "firm", "what is told ahead", at, before=before, after=after)
    return True


def choose(person: Person, days: Days, at: datetime) -> bool:
    """Have the person told at these days ahead from now on; is it another choice than before?"""
    with errand(actor(person), at, may_be_empty=True) as underway:
        before = kept(chosen_by([person.pk]).get(person.pk, {}))
        after = before | kept(days)
        if before == after:
            return False
        Chosen.objects.create(person=person, told=canonical(after), recorded_at=at)
        underway.write("person.told_ahead", "person", person.pk, str(person), at, before=before, after=after)
    return True
