"""The forms of books: a record entered or put right, and a later fact about one. What they give are the cells of a row."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from records.access import Visitor, within
from records.book import Ask, Book, End
from records.books.catalogue import book_for
from records.books.fields import LinesField, ManyField, MomentField, PlaceWidget, ShapeField, SketchWidget
from records.exchange.scratch import Problem
from records.firm.facts import own_sites
from records.firm.models import Site
from records.forms import laid_out
from records.rules import columns, kinds
from records.rules.kinds import UTC_ZONE
from records.rules.words import spoken
from records.tables import Column

FEW = 4  # so many choices at most stand open beside each other
MOST_OFFERED = 500
PLACE = {"x", "y"}  # columns that are a place in the site's grid together
MOST_NAMED = 20
AMONG = "in:"  # how the field begins that says whether a record is among them
LONG = ("note", "work", "description", "withdrawn_because", "closed_because", "source", "conditions")


class RowForm(forms.Form):
    """Some columns of a book, as fields. `cells` gives the row once it is valid."""

    def __init__(self, book: Book, person: Visitor, at: datetime, zone: ZoneInfo | None, *, names: tuple[str, ...], **given: Any) -> None:
        super().__init__(**given)
        self.book, self.person, self.at, self.zone = book, person, at, zone
        for ask in book.asks:
            if ask.column in names:
                self.fields[ask.column] = self._field(book.table.column(ask.column), ask)
        if self.fields.keys() >= PLACE:
            self.fields["y"].widget = PlaceWidget("id_x id_y", attrs={"inputmode": "decimal"})
        self.helper = laid_out()

    def cells(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in self.fields if name in {ask.column for ask in self.book.asks}}

    def _field(self, column: Column, ask: Ask) -> forms.Field:
        plain = {"label": ask.label, "help_text": ask.help, "required": column.starred}
        if column.refers is None:
            return field_of(column, plain, self.zone, ask.spoken)
        if column.name != self.book.table.makes:
            return self._reference(column, ask, plain)
        known = list(column.refers._default_manager.order_by("pk").values_list("pk", flat=True)[:MOST_NAMED])
        return field_of(column, plain | {"help_text": f"{ask.help} There are: {', '.join(known)}." if known else ask.help}, self.zone)

    def _reference(self, column: Column, ask: Ask, plain: dict[str, Any]) -> forms.Field:
        offered = self._offered(column, ask)
        found = [(one.pk, str(one)) for one in offered[: MOST_OFFERED + 1]]
        if column.many:
            return ManyField(choices=found, **plain)
        if len(found) > MOST_OFFERED:
            return TypedReference(offered, **plain)
        return forms.ChoiceField(choices=[("", "choose" if column.starred else "none"), *found], **plain)

    def _offered(self, column: Column, ask: Ask) -> QuerySet:
        """What the person may see of the records that the column may name; of sites, those where they may do this."""
        if column.refers is Site:
            return own_sites(self.person, self.book.enter, self.at)
        rows, book = column.refers._default_manager.order_by("pk"), book_for(column.refers)
        if book is not None:
            rows = within(rows, self.person, book.see, book.ties, self.at)
        if ask.offers is None:
            return rows
        return ask.offers(rows, self.person, self.at, {name: str(self[name].value() or "") for name in self.fields})

    def say(self, problems: tuple[Problem, ...]) -> None:
        """Put what is wrong with the row at its fields; what is of another column, above them."""
        for problem in problems:
            where = problem.column if problem.column in self.fields else None
            self.add_error(where, problem.says if where else f"{problem.column}: {problem.says}" if problem.column else problem.says)


class ManyForm(RowForm):
    """Many records at once: what is alike in all, and for each of those offered whether it is among them, with what is its own."""

    def __init__(self, book: Book, person: Visitor, at: datetime, zone: ZoneInfo | None, search: str, **given: Any) -> None:
        super().__init__(book, person, at, zone, names=book.many.same, **given)
        over = book.table.column(book.many.over)
        rows = self._offered(over, book.ask(over.name))
        if search:
            marked = [name.removeprefix(AMONG) for name in self.data if name.startswith(AMONG)]
            rows = rows.filter(Q(pk__icontains=search) | Q(**{f"{book_for(over.refers).finds[1]}__icontains": search}) | Q(pk__in=marked))
        offered = list(rows[: MOST_OFFERED + 1])
        self.offered, self.cut_short = offered[:MOST_OFFERED], len(offered) > MOST_OFFERED
        for one in self.offered:
            self.fields[f"{AMONG}{one.pk}"] = forms.BooleanField(label=str(one), required=False)
            for name in book.many.each:
                plain = {"label": book.ask(name).label, "help_text": "", "required": False}
                self.fields[f"{name}:{one.pk}"] = field_of(book.table.column(name), plain, zone)

    def lines(self) -> list[tuple[forms.BoundField, list[forms.BoundField]]]:
        """For each record offered: whether it is among them, and its own fields."""
        return [(self[f"{AMONG}{one.pk}"], [self[f"{name}:{one.pk}"] for name in self.book.many.each]) for one in self.offered]

    def alike(self) -> list[forms.BoundField]:
        return [self[name] for name in self.book.many.same]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.among():
            raise ValidationError("Nobody and nothing is chosen: mark at least one.")
        return cleaned

    def among(self) -> list[Any]:
        return [one.pk for one in self.offered if self.cleaned_data.get(f"{AMONG}{one.pk}")]

    def rows(self, names: Sequence[str]) -> list[dict[str, str]]:
        """The rows, with these names."""
        many, key = self.book.many, self.book.table.key[0]
        same = {name: self.cleaned_data[name] for name in many.same}
        own = {pk: {column: self.cleaned_data[f"{column}:{pk}"] for column in many.each} for pk in self.among()}
        return [{key: name, many.over: pk} | same | cells for name, (pk, cells) in zip(names, own.items(), strict=True)]

    def say_of_rows(self, problems: tuple[Problem, ...]) -> None:
        """Put what is wrong at the field of the record that it is about."""
        among = self.among()
        for problem in problems:
            pk = among[problem.row] if 0 <= problem.row < len(among) else ""
            own = f"{problem.column}:{pk}"
            where = own if own in self.fields else problem.column if problem.column in self.fields else f"{AMONG}{pk}" if pk else None
            self.add_error(where, problem.says)


class TypedReference(forms.CharField):
    """A record's identifier, typed: where there are too many to choose from."""

    def __init__(self, offered: QuerySet, **given: Any) -> None:
        super().__init__(max_length=40, **given)
        self.offered = offered
        self.help_text = f"{self.help_text} Its identifier.".strip()

    def validate(self, value: str) -> None:
        super().validate(value)
        if value and not self.offered.filter(pk=value).exists():
            raise ValidationError(f"{value} is not known here: the identifier of a record that you may use was expected.")


def field_of(column: Column, plain: dict[str, Any], zone: ZoneInfo | None, told: Callable[[str], str] = spoken) -> forms.Field:
    """The field of a column that refers to nothing. Without a zone the site is still to be chosen, by whose clock a time is told."""
    kind = column.kind
    if isinstance(kind, columns.Instant):
        clock = f"By the clock of {zone.key}." if zone else "By the site's own clock."
        return MomentField(zone or UTC_ZONE, **plain | {"help_text": f"{plain['help_text']} {clock}".strip()})
    if isinstance(kind, columns.Day):
        return forms.CharField(widget=forms.DateInput(attrs={"type": "date"}), **plain)
    if isinstance(kind, columns.Shape):
        closed = kind is not columns.LINE
        return ShapeField(closed=closed, widget=SketchWidget("polygon" if closed else "line", attrs={"rows": 5}), **plain)
    if isinstance(kind, kinds.YesNo):
        return chosen([(kinds.YES, "yes"), (kinds.NO, "no")], plain)
    if isinstance(kind, kinds.Word):
        return chosen([(word, told(word)) for word in kind.words], plain)
    if isinstance(kind, kinds.Items):
        return ManyField(choices=[(word, told(word)) for word in kind.item.words], **plain) if isinstance(kind.item, kinds.Word) else LinesField(**plain)
    return typed(column, plain)


def chosen(offered: list[tuple[str, str]], plain: dict[str, Any]) -> forms.Field:
    """One of some words: all of them in sight where they are few, and one is owed."""
    if plain["required"] and len(offered) <= FEW:
        return forms.ChoiceField(choices=offered, widget=forms.RadioSelect, **plain)
    return forms.ChoiceField(choices=[("", "choose" if plain["required"] else "not said"), *offered], **plain)


def typed(column: Column, plain: dict[str, Any]) -> forms.Field:
    if isinstance(column.kind, columns.Number):
        return forms.CharField(widget=forms.TextInput(attrs={"inputmode": "decimal"}), **plain)
    if isinstance(column.kind, columns.TimeZone):
        return forms.ChoiceField(choices=[("", "choose"), *((name, name) for name in sorted(columns.zones()))], **plain)
    widget = forms.Textarea(attrs={"rows": 3}) if column.name in LONG else forms.TextInput(attrs={"autocomplete": "off"})
    return forms.CharField(widget=widget, strip=False, **plain)


class ReasonForm(forms.Form):
    """Why what is recorded is put right."""

    why = forms.CharField(label="Why it is changed", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))
    why.help_text = "Kept with the old value and the new one, for good."

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()


class EndForm(forms.Form):
    """A later fact: its date, and the reason where one is owed."""

    def __init__(self, book: Book, end: End, zone: ZoneInfo, **given: Any) -> None:
        super().__init__(**given)
        for name in filter(None, (end.column, end.because)):
            ask, column = book.ask(name), book.table.column(name)
            self.fields[name] = field_of(column, {"label": ask.label, "help_text": ask.help, "required": True}, zone)
        self.helper = laid_out()

    def cells(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in self.fields}

    say = RowForm.say
