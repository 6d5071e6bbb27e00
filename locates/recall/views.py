"""The list of things in doubt, and a page for each: what rested on it, and what was decided of that."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from locates.recall import desk
from locates.recall.actions import DECIDE, NotTheirs, StillLive, Wanting, decide, suspend
from locates.recall.cases import BOOKS, Case, Item, case_of, every_case, live_in
from locates.recall.forms import DecideForm
from locates.recall.paper import recall_pdf as drawn
from locates.recall.rules.decided import SAID
from locates.recall.rules.doubts import KINDS
from records import clock
from records.access import may
from records.book import Book
from records.books.reaching import found
from records.firm import later
from records.firm.facts import own_zone
from records.letters.actions import deliver
from records.paging import kept
from records.rules.dates import instant_says
from records.spreadsheet import answered

SEE = "recall.see"
PAGE, CASES = 50, 25
CONFLICT, UNFIT = 409, 400
ALL = "all"
HEADS = ("thing", "found", "in_doubt", "live_permits", "undecided", "rested_on_it")
OF_ONE = ("kind", "name", "site", "when", "what", "rested_on_it_by", "before_it_was_withdrawn", "stands", "decided", "why", "by", "at")
NONE_MARKED = "Mark what you decide on: one or more of the permits and locates on this page that rest on it."


@require_safe
def recalls(request: HttpRequest) -> HttpResponse:
    """Everything on record that casts doubt on what was searched or signed: what is live first, then what is undecided."""
    at, every = _every(request)
    page = Paginator(every, CASES).get_page(request.GET.get("page"))
    told = desk.told([one.doubt for one in page.object_list], own_zone(request.user, at))
    shown = {
        "page": page,
        "cases": [(one, words, desk.tally(one)) for one, words in zip(page.object_list, told, strict=True)],
        "undecided": sum(one.undecided for one in every),
        "live": live_in(every),
        "kept": kept(request),
    }
    return render(request, "recall/list.html", shown)


def _every(request: HttpRequest) -> tuple[datetime, list[Case]]:
    if not may(request.user, SEE):
        raise Http404
    at = clock.now()
    return at, every_case(request.user, at)


@require_safe
def recalls_csv(request: HttpRequest) -> HttpResponse:
    at, every = _every(request)
    told = desk.told([one.doubt for one in every], own_zone(request.user, at))
    counts = (tuple(map(str, (len(one.live), one.undecided, len(one.items)))) for one in every)
    return answered("recalls", at, (HEADS, *((words.thing, words.found, words.window, *some) for words, some in zip(told, counts, strict=True))))


@dataclass(frozen=True)
class Asked:
    """A page asked for: whose record, when, and the case that it makes, if it makes one."""

    request: HttpRequest
    book: Book
    record: Any
    case: Case | None
    at: datetime

    @property
    def with_earlier(self) -> bool:
        """Is also shown what rested on an award only before it was withdrawn?"""
        return ALL in self.request.GET

    @property
    def items(self) -> list[Item]:
        return [one for one in self.case.items if self.with_earlier or not one.resting.before] if self.case else []

    @property
    def zone(self) -> ZoneInfo:
        return own_zone(self.request.user, self.at)

    @property
    def told(self) -> desk.Told:
        return desk.told([self.case.doubt], self.zone)[0]

    def lines(self, items: Iterable[Item]) -> list[desk.Line]:
        return [desk.line(one, self.request.user) for one in items]


def _asked(request: HttpRequest, kind: str, key: str) -> Asked:
    """For who may see the record of the finding."""
    if kind not in KINDS or not may(request.user, SEE):
        raise Http404
    at, book = clock.now(), BOOKS[kind]
    record = found(book, request.user, book.see, key, at)
    return Asked(request, book, record, case_of(kind, key, request.user, at), at)


@require_safe
def recall(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """One thing in doubt, and all that rested on it."""
    asked = _asked(request, kind, key)
    if asked.case is None:
        return render(request, "recall/none.html", {"record": asked.record, "book": asked.book})
    if asked.case.doubt.key != key:  # it goes by the first of several findings
        return redirect("recall", kind, asked.case.doubt.key)
    return _shown(asked, DecideForm())


def _shown(asked: Asked, form: DecideForm, refusal: str = "", status: int | None = None) -> HttpResponse:
    page = Paginator(asked.items, PAGE).get_page(asked.request.GET.get("page"))
    shown = {
        "told": asked.told,
        "case": asked.case,
        "tally": desk.tally(asked.case),
        "page": page,
        "lines": asked.lines(page.object_list),
        "earlier": sum(one.resting.before for one in asked.case.items),
        "with_earlier": asked.with_earlier,
        "may_decide": may(asked.request.user, DECIDE),
        "marked": asked.request.POST.getlist("of"),
        "form": form,
        "refusal": refusal,
        "kept": kept(asked.request),
        "asked": asked.request.GET.urlencode(),
        "entered": desk.entered(asked.case.doubt, asked.zone),
    }
    return render(asked.request, "recall/case.html", shown, status=status)


@require_POST
def suspend_now(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Suspend all that are live, and tell those on them."""
    if not may(request.user, DECIDE):
        raise Http404
    asked = _asked(request, kind, key)
    if asked.case is None:
        raise Http404
    told = asked.told
    why = f"In doubt is what it rests on. {told.thing}: {told.openly}"  # it stays with the permit, for everyone on it
    done = suspend(kind, asked.case.doubt.key, why, request.user, asked.at, request.build_absolute_uri("/"))
    if done:
        later.after_the_answer(deliver, asked.at)
        messages.success(request, f"Suspended: {', '.join(done)}. Their people are told.")
    else:
        messages.info(request, "Nothing that rests on it was live any more.")
    return redirect(told.address)


@require_http_methods(["GET", "POST"])
def decide_now(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Decide of all that were marked.

    What is refused is shown here, so the links of that page to the case's other pages come here too, and are led on to the case.
    """
    if not may(request.user, DECIDE):
        raise Http404
    if request.method == "GET":
        return redirect(_as_asked(request, reverse("recall", args=[kind, key])))
    asked, form, marked = _asked(request, kind, key), DecideForm(data=request.POST), request.POST.getlist("of")
    if asked.case is None:
        raise Http404
    if not form.is_valid():
        return _shown(asked, form, "" if marked else NONE_MARKED, UNFIT)
    try:
        made = decide(kind, asked.case.doubt.key, form.ruling(marked), request.user, asked.at)
    except StillLive as live:
        says = f"Nothing was decided. Anyone may still dig by {', '.join(live.permits)}: suspend it first."
        return _shown(asked, form, says, CONFLICT)
    except (Wanting, NotTheirs):
        return _shown(asked, form, NONE_MARKED, UNFIT)
    messages.success(request, f"Decided of {len(made)}: {SAID[made[0].decided]}.")
    return redirect(_as_asked(request, asked.told.address))


def _as_asked(request: HttpRequest, address: str) -> str:
    """The address with the page, and whatever else this one asks for."""
    return f"{address}?{request.GET.urlencode()}" if request.GET else address


@require_safe
def recall_csv(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    asked = _asked(request, kind, key)
    return answered(f"recall-{kind}-{key}", asked.at, _rows(asked))


def _rows(asked: Asked) -> Iterator[Sequence[str]]:
    yield OF_ONE
    for one in asked.lines(asked.case.items if asked.case else ()):
        last = one.decisions[0] if one.decisions else ("", "", "", "")
        before = "yes" if one.item.resting.before else "no"
        yield (one.kind.lower(), one.name, one.site, one.when, one.what, one.how, before, one.word, *last)


@require_safe
def recall_pdf(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """The same on paper, for whoever inspects."""
    asked = _asked(request, kind, key)
    if asked.case is None:
        raise Http404
    sheet = desk.sheet(asked.told, asked.case, asked.lines(asked.items), instant_says(asked.at, asked.zone))
    headers = {"Content-Disposition": f'inline; filename="recall-{kind}-{asked.case.doubt.key}.pdf"'}
    return HttpResponse(drawn(sheet), content_type="application/pdf", headers=headers)
