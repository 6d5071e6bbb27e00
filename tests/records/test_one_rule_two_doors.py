"""What a file may not bring, a form may not bring either: the models hold the same rules."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError

from locates.permits.models import Permit
from locates.surveys.models import Enquiry, Sweep, Trace
from records.base import Record, kind_of
from records.exchange.catalogue import tables
from records.firm.models import Person, Rule, Site
from tests.register import loaded, register
from training.models import Award

pytestmark = pytest.mark.django_db
AT = datetime(2027, 3, 5, tzinfo=UTC)


@pytest.fixture
def stored(tmp_path):
    loaded(tmp_path, register())


def faults(record, *columns):
    """The columns that the model refuses, of those looked at."""
    with pytest.raises(ValidationError) as refused:
        record.full_clean(exclude={field.name for field in record._meta.fields} - set(columns))
    return set(refused.value.message_dict)


@pytest.mark.parametrize(
    ("record", "column"),
    [
        (Permit(permit="G 9"), "permit"),
        (Permit(outline="POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))"), "outline"),
        (Permit(depth_m=Decimal("0")), "depth_m"),
        (Permit(valid_from=datetime(9999, 6, 1, tzinfo=UTC)), "valid_from"),
        (Permit(work="a\x00b"), "work"),
        (Permit(method="spoon"), "method"),
        (Site(time_zone="Nowhere/At_All"), "time_zone"),
        (Site(owners_to_ask=("Gas", "Gas")), "owners_to_ask"),
        (Person(roles=("boss",)), "roles"),
        (Person(left_on=date(1899, 12, 31)), "left_on"),
        (Sweep(bearing_deg=Decimal(360)), "bearing_deg"),
        (Rule(key="no_such_key"), "key"),
        (Trace(line="LINESTRING (1 1, 1 1)"), "line"),
    ],
)
def test_a_cell_s_rule_is_the_model_s(record, column):
    assert faults(record, column) == {column}


def test_a_record_s_rule_is_the_model_s(stored):
    assert faults(Award(course_id="C1", awarded_on=date(2027, 1, 1), expires_on=date(2028, 1, 2))) == {"expires_on"}
    assert faults(Enquiry(site_id="S1", sent_on=date(2027, 1, 2), answered_at=datetime(2027, 1, 1, tzinfo=UTC))) == {"answered_at"}
    assert faults(Trace(technique="exposed", quality_level="B")) == {"quality_level"}


def test_what_is_right_is_kept_in_its_one_written_form():
    person = Person(person="P1", name=" A\u030a ", roles=("supervisor", "operator"), recorded_at=AT)
    person.full_clean()
    assert (person.name, person.roles) == ("\u00c5", ("operator", "supervisor"))


def test_every_column_of_every_register_has_its_kind():
    models = {table.model for table in tables().values()}
    assert len(models) == len(tables())
    assert [column.name for table in tables().values() for column in table.columns if column.kind != kind_of(table.model, column.field)] == []


def test_a_star_stands_exactly_where_the_database_has_no_blank():
    """But for months and days, whose `none` the database keeps as nothing."""
    starred = {(table.file, column.name): column.starred for table in tables().values() for column in table.columns}
    owed = {(table.file, column.name): not column.field.blank for table in tables().values() for column in table.columns}
    assert {place for place in starred if starred[place] != owed[place]} == {
        ("courses.csv", "valid_months"),
        ("instruments.csv", "calibration_months"),
        ("instruments.csv", "self_test_days"),
    }


def test_every_record_keeps_when_it_was_recorded_and_when_it_happened():
    records = [model for model in apps.get_models() if issubclass(model, Record)]
    assert len(records) >= 16
    assert [model.__name__ for model in records if model._meta.get_field("recorded_at").null] == []
    assert [model.__name__ for model in records if model.HAPPENED not in {field.name for field in model._meta.fields}] == []
