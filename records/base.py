"""What every stored record has: a firm's own identifier, two times, and fields of the kinds that register files carry."""

import json
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from functools import cache
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Func, Q, Value
from django.db.models.functions import Collate
from django.db.models.lookups import Lookup

from records.rules import columns, kinds
from records.rules.kinds import Kind
from records.rules.text import Unfit
from records.rules.words import spoken
from records.rules.wrong import Wrong

IDENTIFIER = r"[A-Za-z0-9._-]{1,40}"


def choices(words: tuple[str, ...]) -> list[tuple[str, str]]:
    """The words as a form's choices, each said in plain words."""
    return [(word, spoken(word)) for word in words]


def word_check(app: str, column: str, words: tuple[str, ...]) -> models.CheckConstraint:
    """The database's own refusal of any other word in the column."""
    return models.CheckConstraint(condition=Q(**{f"{column}__in": words}), name=f"{app}_{column}_word")


class IdentifierField(models.CharField):
    """The firm's own identifier, which is the record's key: case matters, compared by code point."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("max_length", 40)
        options.setdefault("validators", [RegexValidator(rf"\A{IDENTIFIER}\Z", "1 to 40 letters, digits, dots, underscores or hyphens were expected")])
        super().__init__(**options)


class ListField(models.TextField):
    """A list of words or names, kept as text with `;` between them and read as a tuple of str."""

    def from_db_value(self, value: str | None, *_: Any) -> tuple[str, ...]:
        return self.to_python(value)

    def to_python(self, value: Any) -> tuple[str, ...]:
        if isinstance(value, str):
            return tuple(item.strip() for item in value.split(";") if item.strip())
        return tuple(value or ())

    def get_prep_value(self, value: Any) -> str:
        return ";".join(self.to_python(value))

    def value_to_string(self, instance: models.Model) -> str:
        return self.get_prep_value(self.value_from_object(instance))


class ByCodePoint(Collate):
    """A text column in code-point order, whatever the server's own collation."""

    def __init__(self, expression: Any) -> None:
        super().__init__(expression, "C")

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        return self.copy_with("BINARY").as_sql(compiler, connection, **context)

    def copy_with(self, collation: str) -> Collate:
        return Collate(self.get_source_expressions()[0], collation)


class ByWord(Func):
    """What falls to each word or number that an expression can be, and to any other.

    A CASE of conditions says the expression again in each of them: one within another, a list's query grew to 17,000 characters.
    """

    def __init__(self, expression: Any, then: Mapping[Any, Any], default: Any, output_field: models.Field) -> None:
        pairs = (Value(one) if isinstance(one, str | int) else one for pair in then.items() for one in pair)
        super().__init__(expression, *pairs, default, output_field=output_field)

    def as_sql(self, compiler: Any, connection: Any, **_: Any) -> tuple[str, list[Any]]:
        said, params = zip(*(compiler.compile(one) for one in self.get_source_expressions()), strict=True)
        whens = " ".join(f"WHEN {word} THEN {then}" for word, then in zip(said[1:-1:2], said[2:-1:2], strict=True))
        return f"CASE {said[0]} {whens} ELSE {said[-1]} END", [one for some in params for one in some]


class Record(models.Model):
    """A record keeps two times: when it happened (a date or instant of its own, named by HAPPENED) and when it was recorded.

    KINDS says what its columns hold, where the kind of field does not. Files and forms meet the same rules: those of the
    kinds, one column at a time, and those of `wrongs`, which looks at the whole record.
    BLANK_SAYS names columns of which a blank says something of its own, such as "any": filling one later changes the record.
    """

    HAPPENED: ClassVar[str] = "recorded_at"
    KINDS: ClassVar[dict[str, Kind]] = {}
    BLANK_SAYS: ClassVar[frozenset[str]] = frozenset()

    recorded_at = models.DateTimeField(editable=False)

    class Meta:
        abstract = True

    @property
    def happened(self) -> date | datetime:
        """The site-local day or the instant at which the recorded thing took place."""
        return getattr(self, self.HAPPENED) or self.recorded_at

    def known(self, reference: str) -> Any:
        """The record that it refers to there, or None where none is named."""
        return getattr(self, reference) if getattr(self, f"{reference}_id") is not None else None

    def wrongs(self) -> Iterable[Wrong]:
        """What is wrong with the record as a whole, and beside the records it belongs to, so far as they are known."""
        return ()

    def clean_fields(self, exclude: Iterable[str] | None = None) -> None:
        super().clean_fields(exclude)
        faults: dict[str, str] = {}
        for name, kind in plain_kinds(type(self)).items():
            if name not in (exclude or ()):
                self._settle(name, kind, faults)
        if faults:
            raise ValidationError(faults)

    def _settle(self, name: str, kind: Kind, faults: dict[str, str]) -> None:
        try:
            setattr(self, name, kinds.settled(kind, getattr(self, name)))
        except Unfit as fault:
            faults[name] = str(fault)

    def clean(self) -> None:
        super().clean()
        faults: dict[str, list[str]] = {}
        for wrong in self.wrongs():
            faults.setdefault(wrong.column, []).append(wrong.says)
        if faults:
            raise ValidationError(faults)


FIELD_KINDS: tuple[tuple[type[models.Field], Kind], ...] = (
    (IdentifierField, columns.IDENTIFIER),
    (models.DateTimeField, columns.INSTANT),
    (models.DateField, columns.DAY),
    (models.BooleanField, kinds.YesNo()),
    (models.ManyToManyField, columns.IDENTIFIERS),
    (models.ForeignKey, columns.IDENTIFIER),
    (models.TextField, columns.TEXT),
)


def kind_of(model: type[Record], field: models.Field) -> Kind:
    """The kind of column that the field is in a register. Raises LookupError where neither the model nor the field says."""
    if field.name in model.KINDS:
        return model.KINDS[field.name]
    if field.choices:
        return kinds.Word(tuple(word for word, _ in field.choices))
    for type_of_field, kind in FIELD_KINDS:
        if isinstance(field, type_of_field):
            return kind
    raise LookupError(f"{model.__name__}.{field.name} is of no kind")


def named(model: type[models.Model]) -> bool:
    """Is the record's key a name that the firm gave, its own or that of the record it goes with?"""
    key = model._meta.pk
    while key.is_relation:
        key = key.target_field
    return isinstance(key, models.CharField)


@cache
def plain_kinds(model: type[Record]) -> dict[str, Kind]:
    """The kind of each field that a person fills in and that is no relation."""
    fields = [field for field in model._meta.fields if field.editable and not field.is_relation and not field.auto_created]
    return {field.name: kind_of(model, field) for field in fields}


@models.CharField.register_lookup
class Among(Lookup):
    """`column__among=[…]`: one of any number of texts, sent as a single parameter, so that no server's limit on parameters is met."""

    lookup_name = "among"
    prepare_rhs = False

    def get_db_prep_lookup(self, value: Any, connection: Any) -> tuple[str, list[str]]:
        return "%s", [json.dumps(sorted(set(value)))]

    def _sql(self, compiler: Any, connection: Any, unpacked: str) -> tuple[str, list[Any]]:
        left, left_params = self.process_lhs(compiler, connection)
        right, right_params = self.process_rhs(compiler, connection)
        return f"{left} IN ({unpacked % right})", [*left_params, *right_params]

    def as_sqlite(self, compiler: Any, connection: Any) -> tuple[str, list[Any]]:
        return self._sql(compiler, connection, "SELECT value FROM json_each(%s)")

    def as_postgresql(self, compiler: Any, connection: Any) -> tuple[str, list[Any]]:
        return self._sql(compiler, connection, "SELECT json_array_elements_text(%s::json)")
