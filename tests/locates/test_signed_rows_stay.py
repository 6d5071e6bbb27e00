"""Once a permit is signed, the database itself keeps the signature, the permit, its crew and the locate that it rests on."""

import pytest
from django.db import IntegrityError, connection, transaction

from locates.permits.models import Permit, SignOff
from locates.surveys.models import Sweep, Trace
from tests.locates.stored import AT, DIG, LINE, WHEN, one_signed_one_open

SQLITE = connection.vendor == "sqlite"
only_postgresql = pytest.mark.skipif(SQLITE, reason="SQLite's guards never look beside their own file")

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def records():
    one_signed_one_open()


def run(sql):
    with connection.cursor() as cursor:
        cursor.execute(sql)


CHANGES = {
    "a permit's work": "UPDATE permits_permit SET work = 'more' WHERE permit = 'PTD-{name}'",
    "a permit's time": "UPDATE permits_permit SET valid_to = '2030-01-01 00:00:00+00' WHERE permit = 'PTD-{name}'",
    "a permit's crew, added": "INSERT INTO permits_permit_crew (permit_id, person_id) VALUES ('PTD-{name}', 'P-02')",
    "a permit's crew, changed": "UPDATE permits_permit_crew SET person_id = 'P-02' WHERE permit_id = 'PTD-{name}'",
    "a permit's crew, removed": "DELETE FROM permits_permit_crew WHERE permit_id = 'PTD-{name}'",
    "a locate": "UPDATE surveys_locate SET finished_at = NULL WHERE locate = 'L-{name}'",
    "a sweep, changed": "UPDATE surveys_sweep SET spacing_m = 2 WHERE sweep = 'SW-{name}'",
    "a sweep, removed": "DELETE FROM surveys_sweep WHERE sweep = 'SW-{name}'",
    "a sweep, added": "INSERT INTO surveys_sweep (sweep, locate_id, technique, area, recorded_at) SELECT 'SW-new', locate_id, technique, area, recorded_at "
    "FROM surveys_sweep WHERE sweep = 'SW-{name}'",
    "a trace, changed": "UPDATE surveys_trace SET utility = 'water' WHERE trace = 'T-{name}'",
    "a trace's service, added": "INSERT INTO surveys_trace_services (trace_id, planservice_id) VALUES ('T-{name}', 'SV-3')",
    "a trace's service, changed": "UPDATE surveys_trace_services SET planservice_id = 'SV-3' WHERE trace_id = 'T-{name}'",
    "a trace's service, removed": "DELETE FROM surveys_trace_services WHERE trace_id = 'T-{name}'",
    "an outcome, changed": "UPDATE surveys_outcome SET outcome = 'outside_dig' WHERE locate_id = 'L-{name}'",
    "an outcome, removed": "DELETE FROM surveys_outcome WHERE locate_id = 'L-{name}'",
    "an outcome, added": "INSERT INTO surveys_outcome (locate_id, service_id, outcome, note, recorded_at) SELECT locate_id, 'SV-3', outcome, note, recorded_at "
    "FROM surveys_outcome WHERE locate_id = 'L-{name}'",
}


@pytest.mark.parametrize("what", CHANGES)
def test_a_change_under_a_signature_is_refused_and_the_same_change_elsewhere_is_not(what):
    with pytest.raises(IntegrityError, match="signed permit"), transaction.atomic():
        run(CHANGES[what].format(name="signed"))
    run(CHANGES[what].format(name="open"))


@pytest.mark.parametrize(
    "act",
    [
        lambda: Permit.objects.get(pk="PTD-signed").save(),
        lambda: Permit.objects.filter(pk="PTD-signed").update(work="more"),
        lambda: Permit.objects.get(pk="PTD-signed").crew.clear(),
        lambda: Permit.objects.get(pk="PTD-signed").crew.add("P-02"),
        lambda: Permit.objects.bulk_create(
            [Permit(pk="PTD-signed", valid_from=AT, valid_to=AT, **DIG)], update_conflicts=True, unique_fields=["permit"], update_fields=["work"]
        ),
        lambda: Sweep.objects.filter(pk="SW-open").update(locate="L-signed"),
        lambda: Sweep.objects.filter(pk="SW-signed").update(locate="L-open"),
        lambda: Trace.objects.get(pk="T-signed").services.clear(),
        lambda: Trace.objects.create(trace="T-new", locate_id="L-signed", utility="gas", technique="clamp", line=LINE, quality_level="B", **WHEN),
    ],
)
def test_the_models_find_no_way_around(act):
    with pytest.raises(IntegrityError, match="signed permit"), transaction.atomic():
        act()


@pytest.mark.parametrize("table", ["permits_permit", "surveys_locate", "surveys_trace"])
def test_removing_what_was_signed_is_refused(table):
    key = {"permits_permit": "permit = 'PTD-", "surveys_locate": "locate = 'L-", "surveys_trace": "trace = 'T-"}[table]
    with pytest.raises(IntegrityError, match="signed permit"), transaction.atomic():
        run(f"DELETE FROM {table} WHERE {key}signed'")


@pytest.mark.parametrize(
    "act",
    [
        lambda: SignOff.objects.update(printed_name="Lee Bond"),
        lambda: SignOff.objects.get().save(),
        lambda: SignOff.objects.all().delete(),
        lambda: run("UPDATE permits_signoff SET permit_id = 'PTD-open'"),
        lambda: run("DELETE FROM permits_signoff"),
    ],
)
def test_a_signature_is_never_changed_or_removed(act):
    with pytest.raises(IntegrityError, match="never changed or removed"), transaction.atomic():
        act()
    assert SignOff.objects.get().printed_name == "Kim P-01"


def test_a_second_signature_upon_a_signed_permit_is_welcome():
    signed = SignOff.objects.values().get()
    SignOff.objects.create(**{**signed, "id": None, "meaning": "accept", "person_id": "P-02"})
    assert SignOff.objects.count() == 2


@pytest.mark.parametrize(
    ("permit", "changes"),
    [
        ("PTD-open", {"verdict": '{"blocks":[{"code":"locate.none"}]}'}),
        ("PTD-open", {"person_id": "P-02"}),
        ("PTD-open", {"meaning": "accept", "person_id": "P-02"}),
        ("PTD-signed", {"meaning": "accept", "person_id": "P-01"}),
    ],
)
def test_a_signature_upon_a_block_by_a_stranger_or_out_of_turn_is_not_taken(permit, changes):
    signed = SignOff.objects.values().get()
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        SignOff.objects.create(**{**signed, "id": None, "permit_id": permit, **changes})
    assert SignOff.objects.count() == 1


def columns(table, changes):
    """The table's columns, and a SELECT list that copies them with these changes."""
    with connection.cursor() as cursor:
        stored = [one.name for one in connection.introspection.get_table_description(cursor, table)]
    names = list(dict.fromkeys([*stored, *changes]))
    return ", ".join(names), ", ".join(changes.get(name, name) for name in names)


REPLACED = {
    "a signature by its number": ("permits_signoff", {}, "1 = 1"),
    "a signature by its meaning": ("permits_signoff", {"id": "99"}, "1 = 1"),
    "a permit by its name": ("permits_permit", {"locate_id": "'L-open'"}, "permit = 'PTD-signed'"),
    "a permit by its hidden number": ("permits_permit", {"permit": "'PTD-new'", "rowid": "rowid"}, "permit = 'PTD-signed'"),
    "a crew by its number": ("permits_permit_crew", {"permit_id": "'PTD-open'", "person_id": "'P-02'"}, "permit_id = 'PTD-signed'"),
    "a locate by its name": ("surveys_locate", {"finished_at": "NULL"}, "locate = 'L-signed'"),
    "a locate by its hidden number": ("surveys_locate", {"locate": "'L-new'", "rowid": "rowid"}, "locate = 'L-signed'"),
    "a sweep by its name": ("surveys_sweep", {"locate_id": "'L-open'"}, "sweep = 'SW-signed'"),
    "a sweep by its hidden number": ("surveys_sweep", {"locate_id": "'L-open'", "sweep": "'new'", "rowid": "rowid"}, "sweep = 'SW-signed'"),
    "a trace by its name": ("surveys_trace", {"locate_id": "'L-open'"}, "trace = 'T-signed'"),
    "an outcome by its number": ("surveys_outcome", {"locate_id": "'L-open'", "service_id": "'SV-3'"}, "locate_id = 'L-signed'"),
    "a trace's service by its number": ("surveys_trace_services", {"trace_id": "'T-open'", "planservice_id": "'SV-3'"}, "trace_id = 'T-signed'"),
}


@pytest.mark.skipif(not SQLITE, reason="SQLite's own words")
@pytest.mark.parametrize("what", REPLACED)
def test_replacing_is_refused(what):
    table, changes, where = REPLACED[what]
    names, values = columns(table, changes)
    with pytest.raises(IntegrityError, match="never changed or removed"), transaction.atomic():
        run(f"INSERT OR REPLACE INTO {table} ({names}) SELECT {values} FROM {table} WHERE {where}")


TAKEN = {
    "a permit's name": "permits_permit SET permit = 'PTD-signed' WHERE permit = 'PTD-open'",
    "a permit's hidden number": "permits_permit SET rowid = (SELECT rowid FROM permits_permit WHERE permit = 'PTD-signed') WHERE permit = 'PTD-open'",
    "a crew's number": "permits_permit_crew SET id = (SELECT id FROM permits_permit_crew WHERE permit_id = 'PTD-signed') WHERE permit_id = 'PTD-open'",
    "a locate's name": "surveys_locate SET locate = 'L-signed' WHERE locate = 'L-open'",
    "a sweep's name": "surveys_sweep SET sweep = 'SW-signed' WHERE sweep = 'SW-open'",
    "a trace's hidden number": "surveys_trace SET rowid = (SELECT rowid FROM surveys_trace WHERE trace = 'T-signed') WHERE trace = 'T-open'",
    "an outcome's number": "surveys_outcome SET id = (SELECT id FROM surveys_outcome WHERE locate_id = 'L-signed') WHERE locate_id = 'L-open'",
}


@pytest.mark.skipif(not SQLITE, reason="SQLite's own words")
@pytest.mark.parametrize("what", TAKEN)
def test_taking_the_place_of_what_was_signed_is_refused(what):
    with pytest.raises(IntegrityError, match="never changed or removed"), transaction.atomic():
        run(f"UPDATE OR REPLACE {TAKEN[what]}")


@pytest.mark.skipif(SQLITE, reason="PostgreSQL's own words")
@pytest.mark.parametrize(
    "table",
    [
        "permits_signoff",
        "permits_permit",
        "permits_permit_crew",
        "surveys_locate",
        "surveys_sweep",
        "surveys_trace",
        "surveys_outcome",
        "surveys_trace_services",
    ],
)
def test_truncating_is_refused(table):
    with pytest.raises(IntegrityError, match="never changed or removed"), transaction.atomic():
        run(f"SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE {table} CASCADE")


@only_postgresql
@pytest.mark.parametrize("aside", ["CREATE TEMP TABLE {}", "CREATE SCHEMA aside; SET LOCAL search_path = aside, public; CREATE TABLE {}"])
@pytest.mark.parametrize("what", CHANGES)
def test_tables_of_the_same_names_put_before_ours_blind_no_guard(what, aside):
    run(aside.format("permits_signoff (permit_id text, meaning text, id bigint)"))
    with pytest.raises(IntegrityError, match="signed permit"), transaction.atomic():
        run(CHANGES[what].format(name="signed"))
