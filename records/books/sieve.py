"""What narrows and orders a book's list. Sent by GET, so that the address can be kept and shared."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from records.book import Book
from records.forms import laid_out
from records.rules import kinds
from records.rules.words import spoken
from records.tables import Column

MOST_OFFERED = 300
YES_NO = {"yes": "yes", "no": "no"}


class Sieve(forms.Form):
    """A search, the columns that the book names for it, the days between which it happened, and the order."""

    def __init__(self, book: Book, rows: QuerySet, **given: Any) -> None:
        super().__init__(**given)
        self.book = book
        if book.finds:
            self.fields["search"] = forms.CharField(label="Find", required=False, max_length=200, widget=forms.TextInput(attrs={"type": "search"}))
        for name in book.sifts:
            self.fields[name] = self._sift(book.table.column(name), rows)
        if book.model.HAPPENED != "recorded_at":
            for name, label in (("since", "From"), ("through", "Through")):
                self.fields[name] = forms.DateField(label=label, required=False, widget=forms.DateInput(attrs={"type": "date"}))
        self.fields["sort"] = forms.ChoiceField(label="Order", required=False, choices=self._orders())
        self.helper = laid_out()

    def _sift(self, column: Column, rows: QuerySet) -> forms.Field:
        label = self.book.ask(column.name).label
        if column.refers is not None:
            return self._of_records(column, label, rows)
        offered = YES_NO if isinstance(column.kind, kinds.YesNo) else {word: spoken(word) for word in _words(column.kind)}
        if not offered:
            return forms.CharField(label=label, required=False, max_length=200)
        return forms.ChoiceField(label=label, required=False, choices=[("", "any"), *offered.items()])

    def _of_records(self, column: Column, label: str, rows: QuerySet) -> forms.Field:
        """A choice among the records that those shown name; where they are very many, their identifier is typed."""
        named = column.refers._default_manager.filter(pk__in=rows.order_by().values(column.field.name)).order_by("pk")[: MOST_OFFERED + 1]
        found = [(one.pk, str(one)) for one in named]
        if len(found) > MOST_OFFERED:
            return forms.CharField(label=label, required=False, max_length=40, help_text="Its identifier.")
        return forms.ChoiceField(label=label, required=False, choices=[("", "any"), *found])

    def _orders(self) -> list[tuple[str, str]]:
        orders = [("", "as usual")]
        for name in self.book.shows:
            if not self.book.table.column(name).many:
                label = self.book.ask(name).label.lower()
                orders += [(name, f"by {label}"), (f"-{name}", f"by {label}, last first")]
        return orders

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return self.cleaned_data

    def narrowed(self) -> bool:
        return bool(self.errors) or any(value for name, value in self.chosen().items() if name != "sort")


def _words(kind: kinds.Kind) -> tuple[str, ...]:
    inner = kind.item if isinstance(kind, kinds.Items) else kind
    return inner.words if isinstance(inner, kinds.Word) else ()
