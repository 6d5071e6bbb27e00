"""The pages of books: the shelf, a list, a leaf, and the forms that enter, put right and tell later. What is handed in, `actions` writes."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from records import clock
from records.access import may
from records.book import Book, End
from records.books import desk, leaf
from records.books.actions import Slip, Stale, as_seen, do_beside, hand_in
from records.books.catalogue import book_of
from records.books.effects import weighed
from records.books.forms import EndForm, ManyForm, ReasonForm, RowForm
from records.books.listing import PAGE, listing
from records.books.reaching import found, open_book, shelf
from records.books.words import zone_of
from records.exchange.entering import Entered
from records.files.actions import strike
from records.files.facts import of as files_of
from records.files.forms import FilesForm, StrikeForm
from records.firm.actions import actor
from records.firm.facts import own_zone
from records.firm.models import Person
from records.identifiers import next_identifiers
from records.ledger.chain import canonical, digest
from records.paging import kept
from records.spreadsheet import answered
from records.tables import SET_ONCE

CONFLICT = 409


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    shown = [(book, may(request.user, book.enter)) for book in shelf(request.user)]
    return render(request, "books/index.html", {"shelf": shown})


@require_safe
def book(request: HttpRequest, slug: str) -> HttpResponse:
    at, opened = clock.now(), open_book(slug, request.user)
    asked = listing(opened, request, at)
    page = Paginator(asked.rows, PAGE).get_page(request.GET.get("page"))
    narrowed = asked.sieve.narrowed()
    shown = {
        "book": opened,
        "form": asked.sieve,
        "page": page,
        "titles": asked.titles,
        "lines": asked.lines(page.object_list),
        "narrowed": narrowed,
        "kept": kept(request),
        "may_enter": may(request.user, opened.enter),
    }
    return render(request, "books/list.html", shown)


@require_safe
def book_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """What the list shows, all its pages, as a file for spreadsheets."""
    at, opened = clock.now(), open_book(slug, request.user)
    return answered(slug, at, listing(opened, request, at).csv_rows())


@require_safe
def one(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """A record: what it says, what goes with it, what can be done."""
    at, opened = clock.now(), open_book(slug, request.user)
    record = found(opened, request.user, opened.see, key, at)
    enters = may(request.user, opened.enter)
    shown = {
        "book": opened,
        "record": record,
        "facts": [*leaf.facts(opened, record, own_zone(request.user, at), at), *leaf.lines(opened, record, request.user, at)],
        "held": leaf.held(opened, record),
        "blanks": leaf.blanks(opened, record),
        "ends": leaf.ends(opened, record) if enters else [],
        "deeds": leaf.deeds(opened, request.user),
        "folds": leaf.folds(opened, record, request.user, at),
        "beside": leaf.beside(opened, record, request.user, at),
        "may_enter": enters,
        "files": files_of(opened.kind, opened.table.identity_of(record)),
        "history": leaf.history(opened, record, own_zone(request.user, at)),
    }
    return render(request, "books/leaf.html", shown)


@require_safe
def of_kind(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """The page of a record that the history names."""
    if kind == "permit":
        return redirect("permit", key)
    book = book_of(kind)
    if book is None or len(book.table.key) > 1:
        raise Http404
    return redirect("leaf", book.slug, key)


# entering and putting right


@require_http_methods(["GET", "POST"])
def enter_page(request: HttpRequest, slug: str) -> HttpResponse:
    """A new record."""
    at, opened = clock.now(), _book_to_enter(slug, request.user)
    zone = desk.zone_for(opened, request.POST or request.GET, own_zone(request.user, at))
    names = desk.all_columns(opened)
    if request.method == "GET":
        begun = desk.fresh(opened, request.user, at, zone, request.GET)
        return _form_page(request, opened, _row_form(opened, request, at, zone, names, initial=begun), files=FilesForm(opened.files))
    form = _row_form(opened, request, at, zone, names, data=request.POST)
    files = FilesForm(opened.files, data=request.POST, files=request.FILES)
    if not (form.is_valid() & files.is_valid()):
        return _form_page(request, opened, form, files=files)
    name = form.cells()[opened.table.key[0]]
    slip = Slip(opened, [form.cells()], beside=files.keeper(opened.kind, name, name))
    return _hand_in(request, Handed(opened, form, slip, files=files), at)


@require_http_methods(["GET", "POST"])
def many_page(request: HttpRequest, slug: str) -> HttpResponse:
    """Many new records at once, all of them or none."""
    at, opened = clock.now(), _book_to_enter(slug, request.user)
    if opened.many is None:
        raise Http404
    zone, search = own_zone(request.user, at), (request.POST if request.method == "POST" else request.GET).get("search", "").replace("\0", "")
    begun = {ask.column: desk.ready(ask.ready, request.user, at, zone) for ask in opened.asks if ask.ready and ask.column in opened.many.same}
    form = ManyForm(opened, request.user, at, zone, search, data=request.POST or None, initial=begun)
    if request.POST.get("do") == "narrow":
        for name in list(form.errors):  # only looked through: nothing is wrong yet with what is still blank
            del form.errors[name]
    elif request.method == "POST" and form.is_valid():
        rows = form.rows(next_identifiers(opened.model, opened.prefix, len(form.among())))
        entered = hand_in(Slip(opened, rows), request.user, at)
        if entered.right:
            messages.success(
                request, f"{len(rows)} {opened.title.lower()} are recorded, from {rows[0][opened.table.key[0]]} to {rows[-1][opened.table.key[0]]}."
            )
            return redirect("book", slug)
        form.say_of_rows(entered.problems)
    return render(request, "books/many.html", {"book": opened, "form": form, "search": search})


@require_http_methods(["GET", "POST"])
def correct_page(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """A record put right, with the reason. What rests on it may leave only its blanks to be filled."""
    at, opened = clock.now(), _book_to_enter(slug, request.user)
    record = found(opened, request.user, opened.enter, key, at)
    zone, held = zone_of(opened, record, own_zone(request.user, at)), leaf.held(opened, record)
    names = leaf.blanks(opened, record) if held else desk.changed_columns(opened)
    before, seen = desk.shown(opened, record, zone), as_seen(opened, record.pk)
    if request.method == "GET" or not names:
        form = _row_form(opened, request, at, zone, names, initial=before)
        return _form_page(request, opened, form, record=record, held=held, reason=ReasonForm(), seen=seen)
    form, reason = _row_form(opened, request, at, zone, names, data=request.POST), ReasonForm(data=request.POST)
    if not (form.is_valid() & reason.is_valid()):
        return _form_page(request, opened, form, record=record, held=held, reason=reason, seen=request.POST.get("seen", ""))
    row = desk.key_cells(opened, record) | form.cells()
    slip = Slip(opened, [row], reason.cleaned_data["why"], record.pk, request.POST.get("seen", ""))
    return _hand_in(request, Handed(opened, form, slip, record, held, reason), at)


@require_http_methods(["GET", "POST"])
def end_page(request: HttpRequest, slug: str, key: str, column: str) -> HttpResponse:
    """A later fact about a record: withdrawn, out of service, closed, left, finished."""
    at, opened = clock.now(), _book_to_enter(slug, request.user)
    record = found(opened, request.user, opened.enter, key, at)
    end = next((one for one in opened.ends if one.column == column), None)
    if end is None or end not in leaf.ends(opened, record):
        raise Http404
    zone = zone_of(opened, record, own_zone(request.user, at))
    if request.method == "GET":
        timed = desk.ready(desk.NOW if column in SET_ONCE else desk.TODAY, request.user, at, zone)
        return _form_page(request, opened, EndForm(opened, end, zone, initial={column: timed}), record=record, end=end, seen=as_seen(opened, record.pk))
    form = EndForm(opened, end, zone, data=request.POST)
    if not form.is_valid():
        return _form_page(request, opened, form, record=record, end=end, seen=request.POST.get("seen", ""))
    slip = Slip(opened, [desk.key_cells(opened, record) | form.cells()], "", record.pk, request.POST.get("seen", ""))
    return _hand_in(request, Handed(opened, form, slip, record, end=end), at)


@require_http_methods(["GET", "POST"])
def add_file(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Another file for a record that is on record already, whether or not anything rests on it: a file changes nothing."""
    at, opened = clock.now(), _book_to_enter(slug, request.user)
    record = found(opened, request.user, opened.enter, key, at)
    if not opened.files:
        raise Http404
    form = FilesForm(opened.files, data=request.POST or None, files=request.FILES or None)
    if request.method == "GET" or not form.is_valid() or not any(form.cleaned_data.values()):
        return render(request, "books/add_file.html", {"book": opened, "record": record, "form": form, "nothing": request.method == "POST" and form.is_valid()})
    name = opened.table.identity_of(record)
    do_beside(form.keeper(opened.kind, name, str(record)), request.user, at)
    messages.success(request, f"The file is kept with {opened.noun} {record}.")
    return redirect("leaf", slug, key)


@require_http_methods(["GET", "POST"])
def strike_file(request: HttpRequest, slug: str, key: str, file: str) -> HttpResponse:
    """Say that a file was a mistake. It stays, struck through, with the reason."""
    at, opened = clock.now(), _book_to_enter(slug, request.user)
    record = found(opened, request.user, opened.enter, key, at)
    one = next((one for one in files_of(opened.kind, opened.table.identity_of(record)) if one.key == file and one.struck_at is None), None)
    if one is None:
        raise Http404
    form = StrikeForm(data=request.POST or None)
    if request.method == "GET" or not form.is_valid():
        return render(request, "books/strike.html", {"book": opened, "record": record, "form": form, "file": one})
    strike(one.key, form.cleaned_data["why"], actor(request.user), at)
    messages.success(request, f"{one.name} is struck. It stays, with the reason.")
    return redirect("leaf", slug, key)


def _book_to_enter(slug: str, person: Person) -> Book:
    opened = open_book(slug, person)
    if not may(person, opened.enter):
        raise Http404
    return opened


def _row_form(book: Book, request: HttpRequest, at: datetime, zone: ZoneInfo | None, names: tuple[str, ...], **given: Any) -> RowForm:
    return RowForm(book, request.user, at, zone, names=names, **given)


@dataclass(frozen=True)
class Handed:
    """A form that is valid by itself, and what goes with it."""

    book: Book
    form: RowForm | EndForm
    slip: Slip
    record: Any = None
    held: str = ""
    reason: ReasonForm | None = None
    end: End | None = None
    files: FilesForm | None = None

    @property
    def beside(self) -> dict[str, Any]:
        """What its page shows again."""
        return {"record": self.record, "held": self.held, "reason": self.reason, "end": self.end, "seen": self.slip.seen, "files": self.files}


def _hand_in(request: HttpRequest, handed: Handed, at: datetime) -> HttpResponse:
    """Write it down; but first say what it would change for open permits, unless that was said already of these very cells."""
    book, cells = handed.book, digest(canonical([dict(row) for row in handed.slip.rows]))
    try:
        if (handed.record is not None or book.weighs) and request.POST.get("weighed") != cells:
            entered, effects = weighed(handed.slip, request.user, at)
            if entered.right and effects:
                return _form_page(request, book, handed.form, effects=effects, weighed=cells, **handed.beside)
        entered = hand_in(handed.slip, request.user, at)
    except Stale:
        now = handed.beside | {"seen": as_seen(book, handed.record.pk), "stale": leaf.facts(book, handed.record, own_zone(request.user, at), at)}
        return _form_page(request, book, handed.form, status=CONFLICT, **now)
    if not entered.right:
        handed.form.say(entered.problems)
        return _form_page(request, book, handed.form, **handed.beside)
    return _done(request, handed, entered)


def _done(request: HttpRequest, handed: Handed, entered: Entered) -> HttpResponse:
    book = handed.book
    record = handed.record or desk.stored(book, handed.slip.rows[0])
    messages.success(request, desk.done_says(book, record, handed.end, handed.record is None, any(entered.written.values())))
    if "another" in request.POST:
        return redirect(f"{reverse('enter', args=[book.slug])}?{urlencode({'like': record.pk})}")
    return redirect("leaf", book.slug, record.pk)


def _form_page(request: HttpRequest, book: Book, form: RowForm | EndForm, status: int | None = None, **beside: Any) -> HttpResponse:
    return render(request, "books/form.html", {"book": book, "form": form, **beside}, status=status)
