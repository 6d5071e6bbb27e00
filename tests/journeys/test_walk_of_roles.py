"""Every address × every role × own and foreign records. What is expected follows from the table of reaches and from who is who here, never from the views."""

from dataclasses import dataclass

import pytest
from django.test import Client
from django.urls import get_resolver, reverse

from locates.owners.models import OwnerNeed
from locates.surveys.models import Outcome
from records.access import ALL, NONE, OWN, POSTED, REACH
from records.books.catalogue import books
from records.firm.models import Rule
from records.ledger.models import Entry
from tests.elsewhere import doubted, elsewhere, logged, near

pytestmark = pytest.mark.everywhere

NOBODY = ""
ROLES = {"P-CR1": (), "P-OPE": ("operator",), "P-ISS": ("supervisor",), "P-SU2": ("supervisor",), "P-FAR": ("operator",), "P-SAF": ("safety_manager",)}
POSTED_TO = {"P-OPE": "S-1", "P-ISS": "S-1", "P-SU2": "S-9", "P-FAR": "S-9"}


@dataclass(frozen=True)
class Thing:
    """A record: its key, its site or sites, and the people it bears the names of."""

    key: str
    site: str = ""
    people: tuple[str, ...] = ()


HERE_PERMIT = ("P-ISS", "P-REC", "P-CR1", "P-CR2", "P-OPE")
HERE, THERE = "here", "there"
THINGS = {
    "permit": {HERE: Thing("PD-1", "S-1", HERE_PERMIT), THERE: Thing("PD-9", "S-9", ("P-SU2", "P-FAR"))},
    "site": {HERE: Thing("S-1", "S-1", ("P-ISS", "P-REC", "P-OPE", "P-CR2")), THERE: Thing("S-9", "S-9", ("P-SU2", "P-FAR"))},
    "grid": {HERE: Thing("S-1", "S-1"), THERE: Thing("S-9", "S-9")},
    "person": {HERE: Thing("P-OPE", "S-1", ("P-OPE",)), THERE: Thing("P-FAR", "S-9", ("P-FAR",))},
    "posting": {HERE: Thing("N-OPE", "S-1", ("P-OPE",)), THERE: Thing("N-FAR", "S-9", ("P-FAR",))},
    "award": {HERE: Thing("A-OPE", "S-1", ("P-OPE",)), THERE: Thing("A-FAR", "S-9", ("P-FAR",))},
    "enquiry": {HERE: Thing("E-1", "S-1"), THERE: Thing("E-9", "S-9")},
    "wrongplan": {HERE: Thing("WP-1", "S-1"), THERE: Thing("WP-9", "S-9")},
    "planservice": {HERE: Thing("V-1", "S-1"), THERE: Thing("V-9", "S-9")},
    "locate": {HERE: Thing("L-2", "S-1", ("P-OPE",)), THERE: Thing("L-9", "S-9", ("P-FAR",))},
    "sweep": {HERE: Thing("SW-21", "S-1", ("P-OPE",)), THERE: Thing("SW-9", "S-9", ("P-FAR",))},
    "trace": {HERE: Thing("T-2", "S-1", ("P-OPE",)), THERE: Thing("T-9", "S-9", ("P-FAR",))},
    "outcome": {HERE: Thing("outcome here", "S-1", ("P-OPE",)), THERE: Thing("outcome there", "S-9", ("P-FAR",))},
    "trialhole": {HERE: Thing("H-2", "S-1", ("P-OPE",)), THERE: Thing("H-9", "S-9", ("P-FAR",))},
    "plannedline": {HERE: Thing("V-1", "S-1"), THERE: Thing("V-9", "S-9")},
    "rating": {HERE: Thing("VP-here", "S-1"), THERE: Thing("VP-there", "S-9")},
    "owneragreement": {HERE: Thing("AG-here", "S-1"), THERE: Thing("AG-there", "S-9")},
    "ownerneed": {HERE: Thing("need of owners")},
    "report": {HERE: Thing("R-2", "S-1", ("P-OPE",)), THERE: Thing("R-9", "S-9", ("P-FAR",))},
    "fieldsheet": {HERE: Thing("sheet-here", "S-1", ("P-OPE",)), THERE: Thing("sheet-there", "S-9", ("P-FAR",))},
    "fix": {HERE: Thing("F-2", "S-1", ("P-OPE",)), THERE: Thing("F-9", "S-9", ("P-FAR",))},
    "log": {HERE: Thing("LG-2", "S-1", ("P-OPE",)), THERE: Thing("LG-9", "S-9", ("P-FAR",))},
    "layout": {HERE: Thing("LY-1")},
    "check": {HERE: Thing("B-I-R1", "", ("P-OPE",))},
    "instrument": {HERE: Thing("I-R1")},
    "calibration": {HERE: Thing("K-I-R1")},
    "course": {HERE: Thing("C-LOC")},
    "need": {HERE: Thing("D-1")},
    "rule": {HERE: Thing("rule")},
}
SLUGS = {book.kind: slug for slug, book in books().items()}
EVERYONE, DOORS = "everyone", "doors"

# address → the act it needs (everyone: whoever is signed in; doors: anybody), and the kind of record it is about
ADDRESSES = {
    **dict.fromkeys(("home", "mine", "competence", "feed_made", "feed_ended", "sign_out", "password", "account", "notice", "books"), (EVERYONE, "")),
    **dict.fromkeys(("second_factor", "second_factor_off", "recovery", "not_me", "end_visit", "permits", "permits_csv", "phone", "phone_take"), (EVERYONE, "")),
    **dict.fromkeys(
        ("favicon", "light", "worker", "no_line", "set_up", "sign_in", "code", "forgotten", "choose_password", "feed", "look_up", "look_up_paper"), (DOORS, "")
    ),
    **dict.fromkeys(("history", "history_csv", "entry"), ("history.see", "")),
    "letters": ("letter.see", ""),
    "told_ahead": ("arranged.enter", ""),
    "told_ahead_to_me": (EVERYONE, ""),
    **dict.fromkeys(("kit_due", "kit_due_csv"), ("instrument.see", "")),
    **dict.fromkeys(("answers_due", "answers_due_csv"), ("enquiry.see", "")),
    **dict.fromkeys(("cover", "cover_csv", "cover_pdf", "ahead", "ahead_csv", "ahead_pdf"), ("cover.see", "")),
    **dict.fromkeys(("dates", "competence_of"), ("person.see", "person")),
    **dict.fromkeys(("access", "sign_somebody_out", "end_somebodys_factor"), ("person.enter", "person")),
    **dict.fromkeys(("logs", "logs_csv"), ("log.see", "")),
    "log": ("log.see", "log"),
    **dict.fromkeys(("add_log", "map_log", "read_log"), ("log.enter", "locate")),
    "layouts": ("layout.see", ""),
    "layout": ("layout.see", "layout"),
    **dict.fromkeys(("rename_layout", "retire_layout"), ("layout.enter", "layout")),
    **dict.fromkeys(("plans", "to_report", "to_report_csv"), ("locate.see", "locate")),
    **dict.fromkeys(("still_owed", "still_owed_csv"), ("locate.see", "")),
    **dict.fromkeys(("agreement", "agreement_csv"), ("agreement.see", "")),
    **dict.fromkeys(("grid", "track"), ("grid.see", "grid")),
    **dict.fromkeys(("recalls", "recalls_csv"), ("recall.see", "")),
    **dict.fromkeys(("recall", "recall_csv", "recall_pdf"), ("wrongplan.see", "wrongplan")),
    **dict.fromkeys(("decide", "suspend_live"), ("recall.decide", "wrongplan")),
    "stand_in": ("cover.see", "person"),
    "check": ("check.enter", ""),
    "prepare": ("permit.enter", ""),
    "field": ("fieldsheet.enter", ""),
    "field_of": ("locate.enter", "locate"),
    "begin_locate": ("fieldsheet.enter", "site"),
    **dict.fromkeys(("locating", "sketch", "ground", "finish_locate", "piece", "underlay"), ("fieldsheet.enter", "fieldsheet")),
    "change_permit": ("permit.enter", "permit"),
    **dict.fromkeys(("permit", "permit_pdf", "sign", "step", "stop"), ("permit.see", "permit")),
    **dict.fromkeys(("look_over", "sweep_again", "exposed", "happened", "diary", "diary_pdf"), ("permit.see", "permit")),
    **dict.fromkeys(("diaries", "diaries_csv"), ("diary.see", "")),
    "print_paper": ("permit.print", "permit"),
    # the pictures under a sketch are there once one is laid: walked by their own tests
    **dict.fromkeys(("underlay_picture", "picture_to_touch"), None),
    # of the books, for every register
    **dict.fromkeys(("book", "book_csv", "leaf", "enter", "many", "correct", "add_file", "end"), None),
    # walked by tests of their own: they need a signature, a file, or lead elsewhere
    **dict.fromkeys(("signed", "signed_pdf", "follow_up", "issued_paper", "file", "strike", "of_kind"), None),
}


def reaches(person, act, thing=None):
    """May the person do this at all, or to this record?"""
    given = {REACH[act].get(role, NONE) for role in ("", *ROLES[person])}
    if ALL in given:
        return True
    if thing is None:
        return bool(given - {NONE})
    own = thing.people and person in thing.people and given & {OWN, POSTED}
    posted = {role for role in ROLES[person] if REACH[act].get(role) == POSTED}
    return bool(own or (posted and thing.site and POSTED_TO.get(person) == thing.site))


def names():
    def walk(patterns):
        for one in patterns:
            yield from walk(one.url_patterns) if hasattr(one, "url_patterns") else [one.name or "favicon"]

    return set(walk(get_resolver().url_patterns))


def test_every_address_is_walked():
    assert names() == set(ADDRESSES)


@pytest.fixture
def stage(scene):
    elsewhere()
    here = near()
    logged()
    doubted()
    rows = {"rule": Rule.objects.get().pk, "need of owners": OwnerNeed.objects.get().pk}
    return rows | {"outcome here": here.pk, "outcome there": Outcome.objects.get(locate="L-9").pk}


def walk(stage):
    """Each address as (path, act, record): what the act needs, and upon what."""
    for name, needs in ADDRESSES.items():
        if needs and needs[0] != DOORS:
            act, kind = needs
            things = THINGS[kind].values() if kind else [None]
            args = {"entry": [1], "end_visit": [7], "not_me": [7], "check": ["I-R1"], "piece": ["plans"], "step": ["suspend"]}.get(name, [])
            first = ["plan"] if kind == "wrongplan" else []  # an address of a recall says first by what kind of finding
            yield from ((reverse(name, args=[*first, *([thing.key] if thing else []), *args]), act, thing) for thing in things)
    for kind, slug in SLUGS.items():
        yield from ((reverse(name, args=[slug]), f"{kind}.see", None) for name in ("book", "book_csv"))
        yield reverse("enter", args=[slug]), f"{kind}.enter", None
        for thing in THINGS[kind].values():
            key = stage.get(thing.key, thing.key)
            yield reverse("leaf", args=[slug, key]), f"{kind}.see", thing
            yield reverse("correct", args=[slug, key]), f"{kind}.enter", thing
            yield from ((reverse("end", args=[slug, key, end.column]), f"{kind}.enter", thing) for end in books()[slug].ends)
            if books()[slug].files:
                yield reverse("add_file", args=[slug, key]), f"{kind}.enter", thing
        if books()[slug].many:
            yield reverse("many", args=[slug]), f"{kind}.enter", None


SHUT, OPEN = {404, 405}, {200, 302, 405}  # what takes only a POST says so before it looks at anything
# a page that is there for who may, and yet has nothing to do now: nothing to end twice, nobody else's session
BARE = {"/later/enquiries/E-1/closed_on/", "/later/enquiries/E-9/closed_on/", "/account/sessions/7/end/", "/account/ways-in/7/not-me/", "/history/1/"}


@pytest.mark.parametrize("person", ROLES)
def test_every_page_is_there_for_whom_it_is_for_and_for_nobody_else(stage, as_person, person):
    client, wrong = as_person(person), []
    for path, act, thing in walk(stage):
        answered = client.get(path)
        allowed = act == EVERYONE or reaches(person, act, thing)
        if answered.status_code not in (OPEN if allowed else SHUT) and not (allowed and path in BARE):
            wrong.append((path, answered.status_code, allowed))
    assert wrong == []


@pytest.mark.parametrize("person", ROLES)
def test_nobody_changes_anything_beyond_their_reach(stage, as_person, person):
    client, wrong = as_person(person), []
    for path, act, thing in walk(stage):
        if act != EVERYONE and not reaches(person, act, thing):
            before = Entry.objects.count()
            answered = client.post(path, {"why": "because", "mail": "yes", "name": "Other"})
            if answered.status_code not in (404, 405) or Entry.objects.count() != before:
                wrong.append((path, answered.status_code))
    assert wrong == []


def test_strangers_are_sent_to_the_door_from_every_page(stage):
    client = Client()
    answers = {path: client.get(path) for path, _, _ in walk(stage)}
    assert {path: one.status_code for path, one in answers.items() if one.status_code != 302 or not one.headers["Location"].startswith("/sign-in/")} == {}


def test_an_empty_form_handed_in_by_who_may_is_no_fault_of_ours(stage, as_person):
    client = as_person("P-SAF")
    client.raise_request_exception = True
    answers = {path: client.post(path, {}).status_code for path, act, _ in walk(stage) if path not in ("/sign-out/", "/people/P-OPE/access/sign-out/")}
    assert {path: status for path, status in answers.items() if status >= 500} == {}
