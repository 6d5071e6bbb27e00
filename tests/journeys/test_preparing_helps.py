"""What helps while a permit is prepared: the ground that its locate swept, and finding its crew."""

from datetime import date
from html import unescape

import pytest

from locates.permits.models import Permit
from records.firm.models import Person, Posting
from tests import cast
from tests.journeys.preparing import CHANGE, post, signed_in
from training.models import Award

pytestmark = pytest.mark.usefixtures("scene")


# the ground under the outline


WIDE = "100 100\n140 100\n140 102\n100 102"


def test_the_outline_is_taken_from_the_ground_that_was_swept_and_put_back_again(as_person):
    client = as_person("P-ISS")
    looked = post(client, "look", outline=WIDE, width="")
    assert looked.context["ground"]["room"] and "was not swept by passive power" in unescape(looked.content.decode())
    taken = post(client, "outline", outline=WIDE)
    assert "locate.not_swept" not in [one.code for one in taken.context["blocks"]]
    typed = taken.context["form"].data
    assert (typed["before"], typed["width"]) == (WIDE, "") and typed["outline"] != WIDE
    assert not taken.context["ground"]["room"]
    back = post(client, "put_back", outline=typed["outline"], before=typed["before"], before_width="0.6")
    assert (back.context["form"].data["outline"], back.context["form"].data["width"]) == (WIDE, "0.6")
    assert Permit.objects.count() == 1


def test_before_there_is_an_outline_the_swept_ground_is_drawn_and_without_a_locate_nothing(as_person):
    client = as_person("P-ISS")
    assert "an outline has room in here" in post(client, "look", outline="").content.decode()
    assert post(client, "look", outline="", locate="").context["ground"] == {}
    assert post(client, "outline", outline="", locate="").context["form"].data["outline"] == ""


# the crew


def many_people(number):
    names = [f"Q-{at:04}" for at in range(number)]
    Person.objects.bulk_create(Person(person=one, name=f"Ada {one}", employer="Field & Furrow", recorded_at=cast.RECORDED) for one in names)
    Award.objects.bulk_create(
        Award(award=f"A-{one}", person_id=one, course_id="C-DIG", awarded_on=date(2026, 5, 1), recorded_at=cast.RECORDED) for one in names[: number // 2]
    )


def test_who_is_chosen_stands_first_then_who_is_posted_here_then_the_rest_folded(as_person):
    many_people(20)
    Posting.objects.create(posting="PO-Q", person_id="Q-0003", site_id="S-1", role="operator", begins_on=date(2026, 5, 1), recorded_at=cast.RECORDED)
    crew = post(as_person("P-ISS"), "look").context["offer"].crew
    assert [one.person for one in crew.chosen] == ["P-CR1", "P-CR2"]
    assert "Q-0003" in [one.person for one in crew.posted] and "Q-0004" in [one.person for one in crew.others]
    assert [part[3] for part in crew.parts] == [False, False, True]


def test_a_name_is_found_without_a_script_and_who_is_chosen_stays_so(as_person):
    many_people(20)
    answered = post(as_person("P-ISS"), "look", find="ADA q-001")
    told = unescape(answered.content.decode())
    crew = answered.context["offer"].crew
    assert [one.person for one in crew.every if one.found] == []  # those of the upper half have no award
    assert "2 of 12 shown, and 10 who cannot be chosen, with why" in " ".join(told.split())
    assert [one.person for one in crew.chosen] == ["P-CR1", "P-CR2"]
    assert 'value="ADA q-001"' in told
    assert "2 of 12 shown" not in told.split("crew-chosen")[1]


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_the_crew_is_narrowed_in_place_and_enter_in_a_field_only_looks_again(browser, live_server, scene):
    many_people(20)
    page = signed_in(browser, live_server, 360, CHANGE)
    seen = page.locator("[data-pick]:visible [data-name]")
    chosen = page.locator("[aria-labelledby=crew-chosen] [data-name]").all_inner_texts()
    assert len(chosen) == 2 and page.locator("#crew-others").get_attribute("open") is None
    page.locator("[data-find]").press_sequentially("ada Q-0004")
    assert page.locator("[data-shown]").inner_text() == "3 of 12 shown"
    assert seen.all_inner_texts() == [*chosen, "Ada Q-0004 (Q-0004)"]
    page.locator("[data-find]").press("Enter")
    page.get_by_label("Ada Q-0004").check()
    page.fill("[data-find]", "")
    assert page.locator("[data-shown]").inner_text() == "" and page.get_by_label("Ada Q-0004").is_checked()
    page.fill("[name=outline]", "100 100\n140 100\n140 102\n100 102")
    page.get_by_text("was not swept by passive power").first.wait_for()
    assert page.locator("#crew-chosen").inner_text() == "Chosen (3)"
    page.press("[name=depth_m]", "Enter")
    page.wait_for_load_state()
    assert page.input_value("[name=outline]").startswith("100 100") and page.locator("[name=before]").count() == 0
    page.get_by_role("button", name="Use the ground that was swept in every mode").click()
    page.get_by_role("button", name="Put back the outline that was typed before").wait_for()
    assert page.url.endswith("#part-ground")
    page.context.close()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_on_a_training_day_names_are_narrowed_in_place_and_a_number_is_asked_of_those_marked(browser, live_server, scene):
    page = signed_in(browser, live_server, 360, CHANGE, "P-SAF")
    page.goto(f"{live_server.url}/enter/awards/many/")
    assert page.get_by_role("button", name="Find").count() == 0 and page.get_by_label("Certificate no.").count() > 5
    assert page.get_by_label("Certificate no.").locator("visible=true").count() == 0
    page.fill("#search", "p-cr")
    assert page.locator("[data-pick]:visible").count() == 2 and page.locator("[data-shown]").inner_text().startswith("2 of ")
    page.locator("[name='in:P-CR1']").check()
    assert page.get_by_label("Certificate no.").locator("visible=true").count() == 1
    page.fill("#search", "p-iss")
    page.press("#search", "Enter")
    assert page.locator("[data-pick]:visible").count() == 2 and page.locator("[name='in:P-CR1']").is_checked()
    page.context.close()
