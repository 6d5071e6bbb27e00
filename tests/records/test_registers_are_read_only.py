"""The registers' pages: the safety manager's alone, and only to read."""

from datetime import UTC, date, datetime

import pytest
from django.apps import apps
from django.contrib import admin
from django.urls import reverse

from locates.instruments.models import Calibration, Check
from locates.permits.models import SignOff
from records.firm.models import Person, Rule
from records.ledger.actions import errand
from records.ledger.chain import Actor
from records.ledger.models import Entry
from records.rules import words
from tests.house.source import STOREYS
from tests.locates.stored import AT, WHEN, one_signed_one_open
from training.models import Award, Course

REGISTERS = sorted(admin.site._registry, key=lambda model: model._meta.label)
NO_REGISTER = {"ledger.Head", "firm.Knock"}  # the queue of writers, and tries at passwords

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def one_of_each():
    one_signed_one_open()
    Rule.objects.create(rule_set_id="default", effective_from=date(2026, 1, 1), key="hand_dig_m", value="1", **WHEN)
    Course.objects.create(course="C-1", title="Digging", authorises=("dig",), **WHEN)
    Award.objects.create(award="A-1", person_id="P-01", course_id="C-1", awarded_on=date(2026, 1, 1), **WHEN)
    Calibration.objects.create(calibration="CAL-1", instrument_id="RX-1", calibrated_on=AT, as_found="in_tolerance", as_left="in_tolerance", **WHEN)
    Check.objects.create(check_id="CHK-1", instrument_id="RX-1", kind="self_test", checked_at=AT, person_id="P-01", result="pass", **WHEN)
    with errand(Actor("P-01", "Kim"), AT) as underway:
        underway.write("award.add", "award", "A-1", "A-1", date(2026, 1, 1))


@pytest.fixture
def signed_in(client):
    """A client with somebody of these roles behind it."""

    def sign_in(*roles):
        client.force_login(Person.objects.create(person="P-99", name="Sam Reed", roles=roles, recorded_at=datetime(2026, 1, 1, tzinfo=UTC)))
        return client

    return sign_in


def page(model, name, *args):
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{name}", args=args)


def some(model):
    return model.objects.order_by("-pk").first()


def test_an_instant_names_its_zone(signed_in):
    shown = signed_in(words.SAFETY_MANAGER).get(page(SignOff, "change", some(SignOff).pk)).content.decode()
    assert f"{some(SignOff).signed_at.astimezone(UTC):%H:%M:%S} UTC" in shown
    assert "a.m." not in shown and "p.m." not in shown


def test_every_record_has_its_register():
    ours = [model for model in apps.get_models() if model._meta.app_config.name in STOREYS]
    assert {model._meta.label for model in ours} - NO_REGISTER == {model._meta.label for model in REGISTERS}


@pytest.mark.parametrize("model", REGISTERS, ids=lambda model: model._meta.label)
def test_the_safety_manager_reads_every_register(signed_in, model):
    client = signed_in(words.SAFETY_MANAGER)
    one = some(model)
    shown = client.get(page(model, "change", one.pk))
    assert (client.get(page(model, "changelist")).status_code, shown.status_code) == (200, 200)
    assert (str(one) in shown.content.decode(), 'name="_save"' in shown.content.decode()) == (True, False)


@pytest.mark.parametrize("model", REGISTERS, ids=lambda model: model._meta.label)
def test_nobody_changes_adds_or_removes_anything_there(signed_in, model):
    client = signed_in(words.SAFETY_MANAGER, words.SUPERVISOR, words.OPERATOR)
    one, before = some(model), list(model.objects.order_by("pk").values())
    attempts = [page(model, "add"), page(model, "change", one.pk), page(model, "delete", one.pk)]
    assert [client.post(address, {"post": "yes", "_save": "Save"}).status_code for address in attempts] == [403, 403, 403]
    client.post(page(model, "changelist"), {"action": "delete_selected", "_selected_action": one.pk, "post": "yes"})
    assert list(model.objects.order_by("pk").values()) == before


@pytest.mark.parametrize("roles", [(), (words.OPERATOR,), (words.SUPERVISOR,), (words.OPERATOR, words.SUPERVISOR)])
def test_others_do_not_get_in(signed_in, roles):
    client = signed_in(*roles)
    addresses = [reverse("admin:index"), *(page(model, name) for model in REGISTERS for name in ("changelist", "add"))]
    assert {client.get(address).status_code for address in addresses} == {302}


def test_strangers_do_not_get_in(client):
    assert {client.get(page(model, "changelist")).status_code for model in REGISTERS} == {302}


@pytest.mark.parametrize("model", REGISTERS, ids=lambda model: model._meta.label)
def test_a_register_can_be_searched_and_its_queries_do_not_grow_with_it(signed_in, model, django_assert_max_num_queries):
    client = signed_in(words.SAFETY_MANAGER)
    with django_assert_max_num_queries(9):
        found = client.get(page(model, "changelist"), {"q": "no such thing"})
    assert found.context["cl"].result_count == 0


def test_passwords_are_not_shown_not_even_hashed(signed_in):
    person = Person.objects.get(pk="P-01")
    person.set_password("long enough to be kept")
    person.save()
    assert person.password not in signed_in(words.SAFETY_MANAGER).get(page(Person, "change", "P-01")).content.decode()


@pytest.mark.parametrize(
    ("model", "kind", "name"),
    [(Award, "award", "A-1"), (Rule, "rule", "default/2026-01-01/hand_dig_m"), (SignOff, "permit", "PTD-signed"), (Entry, "award", "A-1")],
)
def test_a_records_history_is_what_the_ledger_tells_of_it(signed_in, model, kind, name):
    with errand(Actor("P-02", "Lee Bond"), AT) as underway:
        underway.write(f"{kind}.changed", kind, name, name, AT)
        underway.write("course.changed", "course", name, name, AT)
    one = Entry.objects.get(seq=1) if model is Entry else some(model)
    shown = signed_in(words.SAFETY_MANAGER).get(page(model, "history", one.pk), follow=True)
    assert {(entry.kind, entry.subject_id) for entry in shown.context["cl"].result_list} == {(kind, name)}


def test_the_history_comes_newest_first_and_is_found_by_record_or_person(signed_in):
    with errand(Actor("P-02", "Lee Bond"), AT) as underway:
        underway.write("course.add", "course", "C-1", "Digging", date(2026, 1, 1))
    client = signed_in(words.SAFETY_MANAGER)
    assert [entry.seq for entry in client.get(page(Entry, "changelist")).context["cl"].result_list] == [2, 1]
    found = [client.get(page(Entry, "changelist"), {"q": said}).context["cl"].result_list for said in ("C-1", "digging", "lee bond", "P-02")]
    assert [[entry.seq for entry in entries] for entries in found] == [[2], [2], [2], [2]]


@pytest.mark.parametrize("asked", ["password__startswith=a", "password__regex=.", "password=x"])
def test_a_hidden_column_cannot_be_asked_about(signed_in, asked):
    assert signed_in(words.SAFETY_MANAGER).get(f"/registers/firm/person/?{asked}").status_code in (302, 400)


@pytest.mark.parametrize("address", ["/registers/firm/person/%00/change/", "/registers/ledger/entry/?kind__exact=%00"])
def test_an_address_with_a_nul_names_nothing(signed_in, address):
    assert signed_in(words.SAFETY_MANAGER).get(address).status_code in (302, 404)
