"""Every page in a real browser, in every light: accessibility rules, no sideways scroll at 320 px, nothing asked elsewhere, no complaint, the strict policy."""

import pytest
from django.urls import reverse

from locates.desks.actions import new_key
from locates.owners.models import OwnerNeed
from locates.papers.actions import issue_paper
from locates.papers.models import Paper
from locates.papers.rules import mark_of
from locates.permits.actions import preview, sign
from records.books.catalogue import books
from records.firm.actions import invited, opened
from records.firm.models import Person, Rule, WayIn
from records.firm.ways import new_token
from tests import cast
from tests.elsewhere import doubted, elsewhere, logged, near
from tests.journeys.browsing import DESK, faults, page_of
from tests.journeys.test_walk_of_roles import ADDRESSES, HERE, SLUGS, THINGS

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# what is no page: files, what takes only a POST, what leads on
NO_PAGES = {
    *("underlay_picture", "picture_to_touch", "agreement_csv", "to_report_csv", "still_owed_csv", "sketch", "ground", "finish_locate", "piece", "stop"),
    *("worker", "phone_take"),
    *("favicon", "light", "sign_out", "feed", "feed_made", "feed_ended", "end_visit", "sign_somebody_out", "end_somebodys_factor", "file", "of_kind"),
    *("competence", "competence_of", "permits_csv", "history_csv", "kit_due_csv", "answers_due_csv", "cover_csv", "cover_pdf", "ahead_csv", "ahead_pdf"),
    *("permit_pdf", "signed_pdf", "book_csv", "code", "choose_password", "second_factor_off", "recovery", "strike", "set_up"),
    *("logs_csv", "map_log", "read_log"),
    *("print_paper", "issued_paper", "follow_up"),
    *("diary_pdf", "diaries_csv"),
    *("recalls_csv", "recall_csv", "recall_pdf", "decide", "suspend_live"),
}
DOORS = {"sign_in", "forgotten", "no_line", "look_up", "look_up_paper"}
OF_BOOKS = {"book", "leaf", "enter", "many", "correct", "add_file", "end"}
ALSO = (
    "/?site=S-1",
    "/answers-due/?site=S-1",
    "/instruments-due/?site=S-9",
    "/prepare/?site=S-1&locate=L-1",
    "/prepare/?like=PD-1",
    "/permits/?verdict=blocked",
    "/permits/?state=issued&noted=on",
    "/cover/?gaps=yes&sort=gaps",
    "/records/awards/?search=nothing",
)


STEPS = ("", "steps/suspend/", "steps/extend/", "steps/extend/?until_day=2027-03-05&until_time=18:00")
OF_A_LIFE = [f"/permits/PD-6/{page}" for page in (*STEPS, "look-over/", "sweep/", "expose/", "happened/", "diary/")]
# these lead back to the permit where there is nothing to be done there
OF_A_PERMIT = {"sign", "step", "look_over", "sweep_again", "exposed", "happened"}


def bare(name):
    """The address of a page that is about one record or none."""
    if name in ("signed",):
        return reverse(name, args=["PD-5", "issue"])
    if name in ("look_up", "look_up_paper"):
        paper = Paper.objects.get()
        return reverse(name, args=[paper.key, *([mark_of(paper.told)] if name == "look_up_paper" else [])])
    needs = ADDRESSES[name]
    kind = needs[1] if needs else ""
    args = {"entry": [1], "recall": ["plan", "WP-1"], "check": ["I-R1"], "not_me": [WayIn.objects.values_list("pk", flat=True).first()]}
    return reverse(name, args=args.get(name, [THINGS[kind][HERE].key] if kind else []))


def of_books(stage):
    for kind, slug in SLUGS.items():
        book, key = books()[slug], stage.get(THINGS[kind][HERE].key, THINGS[kind][HERE].key)
        yield from (reverse("book", args=[slug]), reverse("enter", args=[slug]), reverse("leaf", args=[slug, key]), reverse("correct", args=[slug, key]))
        if book.many:
            yield reverse("many", args=[slug])
        if book.files:
            yield reverse("add_file", args=[slug, key])
        yield from (reverse("end", args=[slug, key, end.column]) for end in book.ends if kind != "enquiry")


@pytest.fixture
def stage(scene, settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    elsewhere()
    keys = {"outcome here": near().pk, "rule": Rule.objects.get().pk, "need of owners": OwnerNeed.objects.get().pk}
    logged()
    cast.permit("PD-5")
    cast.permit("PD-6")
    for permit, person, meaning in (("PD-5", "P-ISS", "issue"), ("PD-6", "P-ISS", "issue"), ("PD-6", "P-REC", "accept")):
        sign(permit, person, meaning, cast.AT, preview(permit, cast.AT).seen)
    issue_paper("PD-5", Person.objects.get(person="P-ISS"), "https://permits.example/", cast.AT)
    token = new_token(Person.objects.get(person="P-SAF"))
    invited(Person.objects.get(person="P-SAF"), Person.objects.get(person="P-ISS"), "handed over", token, cast.AT)
    opened(Person.objects.get(person="P-SAF"), token, cast.AT)
    new_key(Person.objects.get(person="P-OPE"), cast.AT)
    doubted()
    return keys


@pytest.fixture
def looked_at(browser, live_server, stage):
    """What is wrong with the pages at these addresses, as one person sees them."""

    def look(person, addresses, **options):
        wrong = []
        with page_of(browser, live_server, wrong, person, **options) as page:
            for address in addresses:
                wrong += [(address, *what) for what in faults(page, page.goto(address))]
        return wrong

    return look


def test_no_page_is_forgotten():
    assert {name for name, needs in ADDRESSES.items() if needs is None} <= OF_BOOKS | NO_PAGES | {"signed"}


def test_the_pages_of_everyone(looked_at):
    names = set(ADDRESSES) - NO_PAGES - DOORS - OF_BOOKS - OF_A_PERMIT
    assert looked_at("P-SAF", [*sorted(bare(name) for name in names), *ALSO]) == []


def test_the_books(looked_at, stage):
    assert looked_at("P-SAF", of_books(stage)) == []


def test_the_pages_of_issuer_and_operator(looked_at):
    assert looked_at("P-ISS", ["/", "/permits/PD-1/sign/", "/account/", "/records/", *OF_A_LIFE]) == []
    assert looked_at("P-OPE", ["/", "/mine/", "/check/I-R1/"]) == []


def test_the_doors(looked_at):
    assert looked_at("", [bare(name) for name in DOORS]) == []


def test_at_a_desk(looked_at):
    pages = ["/", "/cover/", "/cover/ahead/", "/prepare/?site=S-1&locate=L-1", "/records/", "/records/awards/", "/records/people/P-OPE/", "/enter/sweeps/"]
    assert looked_at("P-SAF", pages, viewport=DESK) == []
