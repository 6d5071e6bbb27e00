"""Records of books within a person's reach."""

from datetime import datetime
from typing import Any

from django.http import Http404

from records.access import fetch, may, within
from records.base import named
from records.book import Book
from records.books.catalogue import book_of, books
from records.firm.models import Person


def open_book(slug: str, person: Person) -> Book:
    """The book, if the person may see anything of it; else it is not there: Http404."""
    book = books().get(slug)
    if book is None or not may(person, book.see):
        raise Http404
    return book


def found(book: Book, person: Person, act: str, key: str, at: datetime) -> Any:
    """A record of the book, if the person may do this to it: else Http404."""
    if not named(book.model) and not (key.isascii() and key.isdigit() and len(key) < 19):
        raise Http404
    return fetch(book.rows(), person, act, book.ties, key, at)


def may_see(kind: str, key: str, person: Person, at: datetime) -> bool:
    """May the person see the record that the history calls so?"""
    book = book_of(kind)
    return book is not None and may(person, book.see) and within(book.model._default_manager.all(), person, book.see, book.ties, at).filter(pk=key).exists()


def shelf(person: Person) -> list[Book]:
    """The books that the person may see anything of, in their order."""
    return [book for book in books().values() if may(person, book.see)]
