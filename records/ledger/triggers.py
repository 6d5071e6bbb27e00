"""What the database itself refuses, whoever asks: guards on tables, made as triggers on SQLite and on PostgreSQL."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from django.apps.registry import Apps
from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

ALWAYS, NEVER = "TRUE", "FALSE"
EVENT_BITS = {"INSERT": 4, "DELETE": 8, "UPDATE": 16, "TRUNCATE": 32}  # as PostgreSQL's catalogue keeps them
BEFORE_BIT, ROW_BIT = 2, 1


@dataclass(frozen=True, slots=True)
class Guard:
    """An event on a table that is refused where a condition holds. SQL that both engines read; `replacing` is SQLite's alone.

    `reads`: the other tables in the condition. `replacing`: what OR REPLACE would put out of the way, past every DELETE guard.
    `also`: what tells it from another guard upon the same event.
    """

    table: str
    event: str
    says: str
    when: str = ALWAYS
    reads: tuple[str, ...] = ()
    replacing: str = ""
    also: str = ""

    @property
    def name(self) -> str:
        return f"{self.table}_no_{self.event.lower()}{self.also}"


def frozen(
    table: str, says: str, keys: tuple[str, ...], held: str = ALWAYS, reads: tuple[str, ...] = (), *, children: bool = False, refused: str = NEVER
) -> tuple[Guard, ...]:
    """The guards of a table whose held rows never change or go.

    `held`: SQL saying whether `{row}` is. `keys`: the table's unique keys, each its columns with blanks between. `children`: no held row is added either.
    `refused`: SQL saying which new rows (`NEW`) are not taken at all.
    """
    old, new, kept = (held.format(row=row) for row in ("OLD", "NEW", "kept"))
    stuck = ALWAYS if held == ALWAYS else f"EXISTS (SELECT 1 FROM {table} AS kept WHERE {kept})"
    taken = " OR ".join(" AND ".join(f"kept.{column} = NEW.{column}" for column in key.split()) for key in ("rowid", *keys))
    replacing = f"EXISTS (SELECT 1 FROM {table} AS kept WHERE ({taken}) AND {kept})"
    return (
        Guard(table, "UPDATE", says, f"{old} OR {new}", reads, replacing),
        Guard(table, "DELETE", says, old, reads),
        Guard(table, "TRUNCATE", says, stuck, reads),
        Guard(table, "INSERT", says, new if children else refused, reads, replacing),
    )


class Dialect(Protocol):
    """How one engine makes, drops and remembers a guard."""

    STORED: str

    def knows(self, guard: Guard) -> bool: ...

    def creates(self, guard: Guard) -> list[str]: ...

    def drops(self, guard: Guard) -> list[str]: ...

    def expects(self, guard: Guard) -> tuple[Any, ...]: ...


class SQLite:
    STORED = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"

    def knows(self, guard: Guard) -> bool:
        return guard.event != "TRUNCATE"

    def creates(self, guard: Guard) -> list[str]:
        when = " OR ".join(filter(None, (guard.when, guard.replacing)))
        return [f"CREATE TRIGGER {guard.name} BEFORE {guard.event} ON {guard.table} FOR EACH ROW WHEN {when} BEGIN SELECT RAISE(ABORT, '{guard.says}'); END"]

    def drops(self, guard: Guard) -> list[str]:
        return [f"DROP TRIGGER IF EXISTS {guard.name}"]

    def expects(self, guard: Guard) -> tuple[Any, ...]:
        return tuple(self.creates(guard))


class PostgreSQL:
    STORED = """
        SELECT tgname, prosrc, tgenabled, tgtype, relname, tgqual IS NULL, proconfig = ARRAY[format('search_path=%I, pg_temp', current_schema())]
        FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid JOIN pg_class ON pg_class.oid = tgrelid
        WHERE NOT tgisinternal AND pg_table_is_visible(tgrelid)
    """

    def knows(self, guard: Guard) -> bool:
        return guard.when != NEVER

    def creates(self, guard: Guard) -> list[str]:
        each = "STATEMENT" if guard.event == "TRUNCATE" else "ROW"
        return [
            f"CREATE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql AS $guard${self._body(guard)}$guard$",
            # whoever asks may have put tables of the same names before ours
            f"DO $do$ BEGIN EXECUTE format('ALTER FUNCTION {guard.name}() SET search_path = %I, pg_temp', current_schema()); END $do$",
            f"CREATE TRIGGER {guard.name} BEFORE {guard.event} ON {guard.table} FOR EACH {each} EXECUTE FUNCTION {guard.name}()",
            # also where replication has put ordinary triggers to sleep
            f"ALTER TABLE {guard.table} ENABLE ALWAYS TRIGGER {guard.name}",
        ]

    def drops(self, guard: Guard) -> list[str]:
        return [f"DROP FUNCTION IF EXISTS {guard.name}() CASCADE"]

    def expects(self, guard: Guard) -> tuple[Any, ...]:
        each = 0 if guard.event == "TRUNCATE" else ROW_BIT
        return self._body(guard), "A", EVENT_BITS[guard.event] | BEFORE_BIT | each, guard.table, True, True

    def _body(self, guard: Guard) -> str:
        passes = "OLD" if guard.event == "DELETE" else "NEW"
        return f"BEGIN IF {guard.when} THEN RAISE EXCEPTION '{guard.says}' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {passes}; END"


DIALECTS: dict[str, Dialect] = {"sqlite": SQLite(), "postgresql": PostgreSQL()}


def _applying(connection: BaseDatabaseWrapper, guards: Iterable[Guard]) -> Iterator[Guard]:
    """The guards that this engine knows and whose tables are there."""
    tables = set(connection.introspection.table_names())
    for guard in guards:
        if tables.issuperset((guard.table, *guard.reads)) and DIALECTS[connection.vendor].knows(guard):
            yield guard


def _stored(connection: BaseDatabaseWrapper) -> dict[str, tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(DIALECTS[connection.vendor].STORED)
        return {name: tuple(rest) for name, *rest in cursor.fetchall()}


def _run(connection: BaseDatabaseWrapper, statements: Iterable[str]) -> None:
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def raise_guards(connection: BaseDatabaseWrapper, guards: Iterable[Guard]) -> None:
    """Make the guards that are missing, and make anew those that are not what they should be."""
    dialect, stored = DIALECTS[connection.vendor], _stored(connection)
    wrong = [guard for guard in _applying(connection, guards) if stored.get(guard.name) != dialect.expects(guard)]
    _run(connection, [statement for guard in wrong for statement in (*dialect.drops(guard), *dialect.creates(guard))])


def lift_guards(connection: BaseDatabaseWrapper, guards: Iterable[Guard]) -> None:
    """Take the guards away."""
    _run(connection, [statement for guard in guards for statement in DIALECTS[connection.vendor].drops(guard)])


def gaps(connection: BaseDatabaseWrapper, guards: Iterable[Guard]) -> list[str]:
    """Which guards are missing, or are not what they should be."""
    dialect, stored = DIALECTS[connection.vendor], _stored(connection)
    applying = list(_applying(connection, guards))
    missing = [f"the guard {guard.name} is missing" for guard in applying if guard.name not in stored]
    altered = [f"the guard {guard.name} was altered" for guard in applying if stored.get(guard.name) not in (None, dialect.expects(guard))]
    return missing + altered


def guarded(guards: tuple[Guard, ...]) -> tuple[Callable[[Apps, BaseDatabaseSchemaEditor], None], Callable[[Apps, BaseDatabaseSchemaEditor], None]]:
    """A migration's two ways, to unpack into RunPython.

    SQLite remakes a table to alter it, which drops its triggers unasked and fails where another table's trigger names it. There, all guards
    are lifted before any migration and raised after the last: see this app's configuration.
    """

    def forward(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        if schema_editor.connection.vendor != "sqlite":
            raise_guards(schema_editor.connection, guards)

    def backward(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        lift_guards(schema_editor.connection, guards)

    return forward, backward
