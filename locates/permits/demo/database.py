"""What the database holds before the demo firm comes into it: nothing, the demo firm of an earlier run, or anything else."""

from django.db import DatabaseError, OperationalError, connection, transaction
from django.db.backends.utils import CursorWrapper
from django.db.models import Model

from locates.permits.demo.scenario import Rows, identifiers
from records.exchange.catalogue import tables
from records.firm.models import Person, RuleSet, Site
from records.ledger.models import Entry
from records.rules.words import DEFAULT_RULE_SET

EMPTY, DEMO, FOREIGN = "empty", "demo", "foreign"
OWN_TABLE = "ledger_head"
NAMED: tuple[tuple[type[Model], str], ...] = ((Site, "sites.csv"), (Person, "people.csv"))


def holds(scenario: dict[str, Rows]) -> str:
    """EMPTY, DEMO or FOREIGN. One record that the demo firm does not have makes it FOREIGN, as do tables that are not this tool's.

    Raises OperationalError where there is no database to look into.
    """
    try:
        connection.ensure_connection()
    except OperationalError:
        raise
    except DatabaseError:  # a file of another kind
        return FOREIGN
    try:
        return _told(scenario)
    except DatabaseError:  # tables of another version: what they hold cannot be told
        return FOREIGN


def _told(scenario: dict[str, Rows]) -> str:
    present = connection.introspection.table_names()
    if not present:
        return EMPTY
    return _recorded(scenario) if OWN_TABLE in present else FOREIGN


def _recorded(scenario: dict[str, Rows]) -> str:
    stored = {file: _stored(file) for file in tables()}
    if not any(stored.values()):
        return FOREIGN if Entry.objects.exists() else EMPTY
    invented = identifiers(scenario)
    if any(stored[file] - invented.get(file, frozenset()) for file in stored):
        return FOREIGN
    return DEMO if all(_same_names(model, scenario[file]) for model, file in NAMED) else FOREIGN


def _stored(file: str) -> frozenset[str]:
    """The identifiers of a register's records, as `identifiers` has them: the first column where a row is named by more than one."""
    if file == "rules.csv":
        return frozenset(RuleSet.objects.exclude(rule_set=DEFAULT_RULE_SET).values_list("pk", flat=True))
    table = tables()[file]
    return frozenset(table.model.objects.values_list(table.column(table.key[0]).attribute, flat=True))


def _same_names(model: type[Model], rows: Rows) -> bool:
    """Nobody else's site or person happens to bear the same identifier."""
    invented = {(next(iter(row.values())), row["name"]) for row in rows}
    return set(model.objects.values_list("pk", "name")) <= invented


def can_start_afresh() -> bool:
    return connection.vendor == "sqlite"


def empty_out() -> None:
    """Take every table out of an SQLite file, in one transaction: the history in it refuses to be deleted row by row."""
    connection.disable_constraint_checking()
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            for kind, name in _objects(cursor):
                cursor.execute(f"DROP {kind} {connection.ops.quote_name(name)}")
    finally:
        connection.enable_constraint_checking()


def _objects(cursor: CursorWrapper) -> list[tuple[str, str]]:
    """Triggers first, then tables, whose indexes go with them."""
    cursor.execute("SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view', 'table') AND name NOT LIKE 'sqlite_%' ORDER BY type = 'table'")
    return cursor.fetchall()
