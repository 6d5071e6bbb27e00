"""The permit's own page tells of its papers what each is worth now, and the pages that close it which are to be brought back."""

from datetime import date

import pytest

from locates.papers.models import Paper
from locates.permits.actions import preview, sign
from tests import cast
from tests.life.conftest import LATER, done
from tests.papers.conftest import printed, signed
from training.models import Award

pytestmark = pytest.mark.usefixtures("scene", "hands")


def part(client):
    found = [one for one in client.get("/permits/PD-1/").context["parts"] if one["template"] == "papers/_of_permit.html"]
    return found[0] if found else None


def worths(client):
    told = part(client)
    return [(one.version, one.kind) for one in (told["latest"], *told["older"])]


def test_a_permit_of_which_no_paper_was_issued_says_nothing_of_papers(as_person):
    signed()
    assert part(as_person("P-ISS")) is None


def test_each_paper_says_when_by_whom_and_upon_which_sheet_it_was_printed(as_person):
    signed(1)
    printed(person="P-ISS")
    sign("PD-1", "P-REC", "accept", cast.AT, preview("PD-1", cast.AT).seen)
    printed(person="P-REC")
    told = part(as_person("P-CR1"))
    (first,) = told["older"]
    assert (first.upon, first.by, first.when) == ("as issued by Ines Harrow", "Ines Harrow", "4 Mar 2027 08:30 UTC+13:00")
    assert (told["latest"].upon, told["latest"].by) == ("as accepted by Marek Tane", "Marek Tane")


def test_a_paper_upon_a_resumption_says_so(as_person, hands):
    signed()
    done("suspend", "P-REC")
    done("resume", "P-ISS")
    printed(LATER)
    hands.at = LATER
    assert part(as_person("P-ISS"))["latest"].upon == "as resumed by Ines Harrow"


def test_what_a_paper_is_worth_is_what_its_own_address_tells(as_person):
    signed(1)
    printed()
    client = as_person("P-ISS")
    assert worths(client) == [(1, "go")]
    sign("PD-1", "P-REC", "accept", cast.AT, preview("PD-1", cast.AT).seen)
    assert worths(client) == [(1, "mind")]
    printed()
    assert worths(client) == [(2, "go"), (1, "stop")]
    for one in (part(client)["latest"], *part(client)["older"]):
        assert client.get(one.address).context["found"].paper_kind == one.kind


def test_a_block_that_comes_later_makes_the_paper_one_to_print_anew(as_person):
    signed()
    printed()
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="exam void")
    client = as_person("P-ISS")
    assert worths(client) == [(1, "mind")]
    printed()
    assert part(client)["latest"].upon == "with what the gate found by then"


def test_of_a_permit_that_nobody_may_dig_by_it_says_what_the_papers_address_says(as_person, hands):
    signed()
    printed()
    client = as_person("P-ISS")
    assert part(client)["held"] == ""
    done("suspend", "P-REC")
    hands.at = LATER
    told = part(client)
    assert told["held"] == "Suspended. Digging was stopped. No digging until its issuer has resumed it."
    found = client.get(told["latest"].address).context["found"]
    assert told["held"] == f"{found.word}. {found.says}"


def test_its_links_open_for_who_may_see_the_permit(as_person):
    signed()
    printed()
    client = as_person("P-CR1")
    assert client.get(part(client)["latest"].file).headers["Content-Type"] == "application/pdf"


def test_the_pages_that_close_a_permit_name_the_papers_to_bring_back(as_person, hands):
    signed(1)
    printed(person="P-ISS")
    sign("PD-1", "P-REC", "accept", cast.AT, preview("PD-1", cast.AT).seen)
    printed()
    both = ["version 2, printed 4 Mar 2027 08:30 UTC+13:00 by Marek Tane", "version 1, printed 4 Mar 2027 08:30 UTC+13:00 by Ines Harrow"]
    hands.at = LATER
    handing = as_person("P-REC").get("/permits/PD-1/steps/hand_back/")
    assert [one["papers"] for one in handing.context["parts"]] == [both] and both[1] in handing.content.decode()
    assert as_person("P-REC").get("/permits/PD-1/steps/suspend/").context["parts"] == []
    done("hand_back", "P-REC")
    assert [one["papers"] for one in as_person("P-ISS").get("/permits/PD-1/steps/cancel/").context["parts"]] == [both]


def test_many_papers_are_told_in_as_many_queries_as_few(as_person, django_assert_num_queries, django_assert_max_num_queries):
    signed()
    first = printed()
    client = as_person("P-ISS")
    with django_assert_max_num_queries(200) as few:
        client.get("/permits/PD-1/")
    plain = {one.attname: getattr(first, one.attname) for one in Paper._meta.fields if one.name not in ("id", "version")}
    Paper.objects.bulk_create(Paper(version=number, **plain) for number in range(2, 1002))
    with django_assert_num_queries(len(few)):
        assert len(part(client)["older"]) == 1000
