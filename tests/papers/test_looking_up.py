"""The page at a paper's address: how the permit stands, what the paper is worth, and that nothing is told to who guesses."""

import re
from datetime import timedelta

import pytest
from django.test import Client

from locates.lookovers.rules.words import LOOK_OVER
from locates.papers.models import Paper
from records.firm.models import Knock
from records.ledger.models import Entry
from tests import cast
from tests.lookovers.conftest import wrote
from tests.papers.conftest import printed, signed
from tests.papers.test_printing import withdraw

pytestmark = pytest.mark.django_db


def address(paper, mark=None):
    return f"/p/{paper.key}/" + (f"{paper.version}-{paper.digest[:8]}/" if mark is None else mark)


def text(where, client=None):
    """The words of the page, with single spaces."""
    body = (client or Client()).get(where).content.decode().split("<body>")[1]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body)).strip()


@pytest.fixture
def paper(scene):
    signed()
    return printed()


def test_while_it_holds_the_page_says_so_until_when_and_by_whom(paper):
    found = text(address(paper))
    assert "Permit PD-1 Holds now Good until 5 Mar 2027 14:30 UTC+13:00." in found
    assert "Issued by Ines Harrow" in found
    assert "This paper is the latest: version 1, printed 4 Mar 2027 08:30 UTC+13:00." in found


def test_while_a_look_over_is_owed_nobody_digs_by_it(paper, hands):
    owed = "Good until 5 Mar 2027 14:30 UTC+13:00. Both have signed and its time has begun, but a look-over is owed that is not on record yet."
    assert owed in text(address(paper))
    wrote(LOOK_OVER, at=hands.at)
    assert "nothing undoes it now. Keep to the conditions on the paper." in text(address(paper))


def test_before_its_time_it_is_not_begun(paper, hands):
    cast.permit("PD-5", valid_from=cast.AT + timedelta(hours=2))
    signed(permit="PD-5")
    later = printed(permit="PD-5")
    assert "Not begun Begins 4 Mar 2027 10:30 UTC+13:00, in 2 hours." in text(address(later))
    hands.at += timedelta(hours=2)
    assert "Holds now" in text(address(later))


def test_blocked_it_says_since_when_and_not_why(paper):
    withdraw()
    found = text(address(paper))
    assert "Not to dig Since 1 Mar 2027" in found
    assert "Brandt" not in found
    assert "refresher" not in found


def test_with_one_signature_it_is_not_signed_yet(scene):
    signed(1)
    assert "Not signed yet" in text(address(printed()))


def test_when_its_time_is_over_it_has_ended(paper, hands):
    hands.at = paper.permit.valid_to
    assert "Ended Ended" in text(address(paper))


def test_an_older_paper_is_told_from_the_latest(paper, hands):
    withdraw()
    hands.at += timedelta(minutes=5)
    printed(hands.at)
    assert "This paper is not the latest: it is replaced by version 2, printed 4 Mar 2027 08:35 UTC+13:00." in text(address(paper))
    assert "Work on that one" not in text(address(paper))  # nobody works on any: something undoes it


def test_a_latest_paper_whose_permit_has_changed_says_so(paper):
    withdraw()
    assert "the permit has changed since" in text(address(paper))


@pytest.mark.parametrize("mark", ["1-00000000/", "9-{digest}/", "0-{digest}/", "one/", "1-{digest}0/", "²-{digest}/"])
def test_a_number_or_digest_that_was_never_printed_is_told(paper, mark):
    assert "No paper with this number was printed here." in text(address(paper, mark.format(digest=paper.digest[:8])))


def test_without_a_number_the_page_names_the_latest(paper):
    assert "The latest paper is version 1" in text(address(paper, ""))


def test_without_a_number_the_page_says_so_where_the_latest_is_out_of_date(paper):
    withdraw()
    assert "The latest paper is version 1, printed 4 Mar 2027 08:30 UTC+13:00, but the permit has changed since." in text(address(paper, ""))


def test_an_address_typed_in_capitals_opens_too(paper):
    assert "This paper is the latest" in text(address(paper).upper().replace("/P/", "/p/"))


def test_the_page_tells_no_more_than_stands_on_the_paper(paper):
    found = text(address(paper))
    assert [name for name in ("Marek", "Jo Brandt", "Olu", "A-CR1", "P-ISS", "Field & Furrow") if name in found] == []


def test_it_never_says_that_ground_is_clear_and_bears_the_caution(paper):
    found = text(address(paper))
    caution = "A verdict here is never proof that the ground is clear. Services may be undetected; take every service as live."
    assert caution in found
    assert not re.search(r"\b(clear|safe)\b", found.replace(caution, ""))


def test_no_script_no_cookie_no_index_and_no_copy_kept(paper):
    answer = Client().get(address(paper))
    assert b"<script" not in answer.content
    assert not answer.cookies
    assert answer["X-Robots-Tag"].startswith("noindex")
    assert "no-store" in answer["Cache-Control"]
    assert answer["Referrer-Policy"] == "no-referrer"
    assert b'name="robots" content="noindex' in answer.content


def test_looking_writes_nothing_into_the_history(paper):
    before = Entry.objects.count()
    Client().get(address(paper))
    assert (Entry.objects.count(), Paper.objects.count()) == (before, 1)


MADE_UP = ["/p/abcd-efgh-jkmn-pqrs/", "/p/abcd-efgh-jkmn-pqrs/1-00000000/", "/p/x/", "/p/%00/", "/p/" + "é" * 300 + "/1/"]


@pytest.mark.parametrize("where", MADE_UP)
def test_a_made_up_address_is_told_nothing_whatever_it_looks_like(paper, where):
    answer = Client().get(where)
    assert answer.status_code == 404
    assert answer.content == Client().get("/p/2222-2222-2222-2222/").content
    assert b"PD-1" not in answer.content


def test_a_made_up_address_costs_the_same_work_whatever_it_looks_like(paper, django_assert_num_queries):
    Client().get(MADE_UP[0])
    for where in MADE_UP[1:4]:
        with django_assert_num_queries(9):
            Client().get(where)


def test_guessing_is_slowed_and_shuts_out_nobody_who_has_the_address(paper):
    assert {Client().get(f"/p/guess-{n}/").status_code for n in range(12)} == {404, 429}
    assert Client().get(address(paper)).status_code == 200


def test_one_line_may_look_sixty_times_in_a_quarter_of_an_hour(paper, hands):
    answers = [Client().get(address(paper, "")).status_code for _ in range(61)]
    assert answers == [200] * 60 + [429]
    assert Client(REMOTE_ADDR="10.1.1.1").get(address(paper)).status_code == 200
    hands.at += timedelta(minutes=15, seconds=1)
    assert Client().get(address(paper)).status_code == 200


def test_notes_of_looks_go_after_an_hour(paper, hands):
    Client().get(address(paper))
    hands.at += timedelta(hours=1, seconds=1)
    Client().get(address(paper))
    assert Knock.objects.count() == 1


def test_the_page_takes_as_many_queries_for_many_versions_as_for_one(paper, hands, django_assert_max_num_queries):
    with django_assert_max_num_queries(66) as taken:
        Client().get(address(paper))
    one = len(taken)
    for step in range(3):
        (withdraw if step % 2 == 0 else lambda: None)()
        hands.at += timedelta(minutes=1)
        printed(hands.at)
    with django_assert_max_num_queries(one):
        Client().get(address(paper))


def test_keys_are_not_guessed_and_hold_no_letter_that_is_mistaken(paper):
    assert re.fullmatch(r"[2-9a-hjkmnp-z]{4}(-[2-9a-hjkmnp-z]{4}){3}", paper.key)
    assert not set(paper.key) & set("01ilo")
    assert paper.printed_at == cast.AT
