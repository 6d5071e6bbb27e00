"""Tests that really commit empty every table when they end, which the history and signed permits refuse. This lifts the guards for just that."""

from collections.abc import Iterator

import pytest
from django.core import serializers
from django.db import connection
from django.test import TransactionTestCase
from pytest_django import DjangoDbBlocker

from records.ledger.guards import all_guards
from records.ledger.triggers import lift_guards, raise_guards

REMADE = ("contenttypes", "auth", "sessions")  # by Django itself, after each flush


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The tests' database, with what migrations planted there put back after each flush."""
    flush = TransactionTestCase._fixture_teardown
    with django_db_blocker.unblock():
        planted = connection.creation.serialize_db_to_string()

    def lifted(case: TransactionTestCase) -> None:
        lift_guards(connection, all_guards())
        flush(case)
        for row in serializers.deserialize("json", planted):
            if row.object._meta.app_label not in REMADE:
                row.save()
        raise_guards(connection, all_guards())

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", lifted)
        yield
