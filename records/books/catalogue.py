"""The books of all apps, in the order in which the registers are loaded."""

from functools import cache
from importlib import import_module
from importlib.util import find_spec

from django.conf import settings
from django.db.models import Model

from records.book import Book


@cache
def books() -> dict[str, Book]:
    """Every book by its address."""
    modules = [import_module(f"{app}.books") for app in settings.REGISTER_APPS if find_spec(f"{app}.books")]
    return {book.slug: book for module in modules for book in module.BOOKS}


def book_for(model: type[Model]) -> Book | None:
    """The book that holds records of the model; None where none does."""
    return next((book for book in books().values() if book.model is model), None)


def book_of(kind: str) -> Book | None:
    """The book of records that the history calls so; None where there is none."""
    return next((book for book in books().values() if book.kind == kind), None)
