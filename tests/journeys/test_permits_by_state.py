"""The list of permits by how they stand: what is held or to be closed stands apart, and what was noted in a life can be gone through."""

import csv
from datetime import timedelta
from io import StringIO

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from locates.life.facts import lives
from locates.life.models import Step
from locates.life.rules.acts import STATES
from locates.life.since import states
from locates.permits import lists
from locates.permits.models import Permit, SignOff
from records.firm.models import Person
from records.ledger.guards import all_guards
from records.ledger.triggers import lift_guards
from tests import cast
from tests.journeys.test_life_pages import accepted, signed  # noqa: F401  (PD-1 as both have signed it)
from tests.life.conftest import GIVEN, LATER, done

pytestmark = pytest.mark.everywhere

END = cast.AT + timedelta(hours=30)
SUSPENDED = "Marek Tane suspended it on 4 Mar 2027 09:30 UTC+13:00. Why: a cable that no plan shows."


def shown(client, **asked):
    return client.get("/permits/", asked).context["lines"]


def rows(client, **asked):
    return list(csv.DictReader(StringIO(b"".join(client.get("/permits.csv", asked)).decode("utf-8-sig"))))


def in_sql(at):
    return dict(lists.visible(Person.objects.get(pk="P-SAF"), at).values_list("pk", "state"))


def in_python(at):
    return {key: life.state for key, life in lives(Permit.objects.all(), at).items()}


def test_the_database_tells_the_same_state_as_the_rules_through_a_whole_life():
    cast.permit("PD-2")
    seen = set()
    for act, person, told in (
        (None, "", {}),
        ("suspend", "P-REC", {}),
        ("resume", "P-ISS", {}),
        ("hand_over", "P-REC", {"to": "P-FAR"}),
        ("take_over", "P-FAR", {}),
        ("extend", "P-ISS", {"until": END + timedelta(hours=2)}),
        ("end_scope", "P-ISS", {}),
        ("hand_back", "P-FAR", {}),
        ("cancel", "P-ISS", {}),
    ):
        if act:
            done(act, person, **told)
        for at in (LATER, END, END + timedelta(hours=1), END + timedelta(hours=2)):
            assert in_sql(at) == in_python(at), (act, at)
            seen |= set(in_sql(at).values())
    assert seen == set(STATES) - {"issued"}


def test_an_issued_permit_is_told_as_such_even_when_its_time_is_over():
    with transaction.atomic():
        lift_guards(connection, all_guards())
        SignOff.objects.filter(meaning="accept").delete()
    assert in_sql(LATER) == in_sql(END) == in_python(END) == {"PD-1": "issued"}
    done("withdraw", "P-ISS")
    assert in_sql(LATER) == in_python(LATER) == {"PD-1": "cancelled"}


def test_every_state_has_words_for_the_list():
    assert tuple(states()) == STATES


@pytest.mark.parametrize(
    ("act", "state", "heading"),
    [
        ("suspend", "suspended", "Suspended or handed over"),
        ("hand_over", "between_receivers", "Suspended or handed over"),
        ("end_conditions", "ended", "To be closed"),
        ("hand_back", "handed_back", "To be closed"),
    ],
)
def test_what_is_held_or_to_be_closed_stands_apart_from_what_is_active(as_person, act, state, heading):
    cast.permit("PD-2")
    done(act, "P-REC", to="P-FAR")
    client = as_person("P-ISS")
    assert [(one.heading, one.permit.pk) for one in shown(client)] == [("Today", "PD-2"), (heading, "PD-1")]
    assert [one.permit.pk for one in shown(client, state=state)] == [row["permit"] for row in rows(client, state=state)] == ["PD-1"]
    assert [one.permit.pk for one in shown(client, state="accepted")] == []
    assert GIVEN["left"] in client.get("/permits/", {"state": state}).content.decode()


def test_a_cancelled_permit_is_over(as_person):
    done("hand_back", "P-REC")
    done("cancel", "P-ISS")
    assert [(one.heading, one.permit.pk) for one in shown(as_person("P-ISS"), state="cancelled")] == [("Over", "PD-1")]


def test_the_list_counts_how_permits_stand_and_keeps_what_else_was_asked(as_person):
    cast.permit("PD-2")
    done("suspend", "P-REC")
    client = as_person("P-ISS")
    told = client.get("/permits/", {"search": "trench", "state": "suspended"})
    assert [(one.state, one.count) for one in told.context["tallies"]] == [("prepared", 1), ("suspended", 1)]
    assert 'href="?search=trench&amp;state=prepared"><strong>1</strong> prepared</a>' in told.content.decode()
    assert client.get("/permits/", {"search": "no such thing"}).context["tallies"] == []


def test_cancelled_permits_are_gone_through_with_what_was_noted_on_them(as_person):
    done("suspend", "P-REC")
    done("resume", "P-ISS")
    done("hand_back", "P-REC")
    done("cancel", "P-ISS")
    client = as_person("P-SAF")
    (line,) = shown(client, state="cancelled", noted="on")
    assert line.noted == (SUSPENDED,) and SUSPENDED in client.get("/permits/", {"state": "cancelled", "noted": "on"}).content.decode()
    (row,) = rows(client, state="cancelled", noted="on")
    assert (row["stands"], row["left"], row["noted"]) == ("cancelled", GIVEN["left"], SUSPENDED)


def test_the_safety_managers_first_page_leads_to_the_cancelled_permits_to_go_through(as_person):
    client = as_person("P-SAF")
    done("end_scope", "P-REC")
    done("hand_back", "P-REC")
    assert client.get("/").context["exposure"]["review"].count == 0
    done("cancel", "P-ISS")
    review = client.get("/").context["exposure"]["review"]
    assert (review.count, [one.permit.pk for one in client.get(review.leads).context["lines"]]) == (1, ["PD-1"])


def test_on_the_first_page_what_is_held_stands_apart_from_todays_work_and_what_is_cancelled_is_gone(as_person):
    cast.permit("PD-2")
    receiver = as_person("P-REC")
    assert first(receiver) == (["PD-1", "PD-2"], [])
    done("suspend", "P-REC")
    assert first(receiver) == (["PD-2"], ["PD-1"])
    done("hand_back", "P-REC")
    assert first(receiver) == (["PD-2"], ["PD-1"])
    done("cancel", "P-ISS")
    assert first(receiver) == (["PD-2"], [])


def first(client):
    told = client.get("/").context
    return tuple(sorted(line.permit.pk for line in told[name]) for name in ("lines", "held"))


def test_a_permit_without_trouble_is_left_out_where_only_such_with_some_are_asked_for(as_person):
    done("hand_back", "P-REC")
    client = as_person("P-SAF")
    assert (shown(client, noted="on"), rows(client)[0]["noted"]) == ([], "")


def test_what_the_line_says_already_is_not_noted_twice(as_person):
    done("suspend", "P-REC")
    assert [one.noted for one in shown(as_person("P-ISS"))] == [()]


def many(count):
    """So many more permits, each suspended."""
    of = [f"Q-{n}" for n in range(count)]
    like, (issue, accept) = Permit.objects.get(pk="PD-1"), SignOff.objects.order_by("pk").values()
    plain = {one.attname: getattr(like, one.attname) for one in Permit._meta.fields if one.name not in ("permit", "outline")}
    ground = [f"POLYGON(({x} 100,{x + 9} 100,{x + 9} 102,{x} 102,{x} 100))" for x in range(200, 200 + 20 * count, 20)]  # apart: not upon one another
    stopped = Step.objects.values().get()
    with transaction.atomic():
        lift_guards(connection, all_guards())
        Permit.objects.bulk_create(Permit(permit=one, outline=outline, **plain) for one, outline in zip(of, ground, strict=True))
        for made in (issue, accept):
            SignOff.objects.bulk_create(SignOff(**made | {"id": None, "permit_id": one}) for one in of)
        Step.objects.bulk_create(Step(**stopped | {"id": None, "permit_id": one}) for one in of)


def queries(client, address):
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(address)
        b"".join(answer)
    assert answer.status_code == 200
    return address, len(seen)


def test_a_thousand_permits_take_as_many_queries_as_ten(as_person):
    done("suspend", "P-REC")
    client, counts = as_person("P-SAF"), []
    for count in (10, 1000):
        many(count)
        counts.append([queries(client, address) for address in ("/permits/", "/permits/?state=suspended", "/permits/?state=suspended&noted=on&page=2")])
        with transaction.atomic():
            lift_guards(connection, all_guards())
            for model in (Step, SignOff, Permit):
                model.objects.filter(**{"permit__startswith" if model is Permit else "permit__permit__startswith": "Q-"}).delete()
    assert counts[0] == counts[1]
