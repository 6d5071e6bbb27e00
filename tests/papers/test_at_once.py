"""Two people press Print at the same instant."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from locates.papers.models import Paper
from records.ledger.models import Entry
from tests import cast
from tests.papers.conftest import printed, signed

pytestmark = pytest.mark.django_db(transaction=True)


def test_two_who_print_at_once_get_the_same_paper():
    cast.everything()
    signed()

    def press(person):
        try:
            return printed(person=person).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as both:
        found = set(both.map(press, ("P-ISS", "P-REC")))
    assert found == {Paper.objects.get().pk}
    assert Entry.objects.filter(act="permit.print").count() == 1
