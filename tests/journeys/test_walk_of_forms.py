"""Pages that no address opens by itself, looked at in every light: forms that are handed back, the steps of coming in, what goes with a file."""

import pyotp
import pytest
from django.contrib.auth.tokens import default_token_generator
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from locates.owners.models import OwnerNeed
from locates.surveys.models import Outcome
from records.books.catalogue import books
from records.files.actions import keep
from records.firm.actions import confirm_factor
from records.firm.factor import new_salt
from records.firm.models import Person, Rule
from records.ledger.actions import errand
from records.ledger.chain import Actor
from tests import cast
from tests.elsewhere import elsewhere, near
from tests.journeys.browsing import faults, looks, page_of
from tests.journeys.test_walk_of_roles import HERE, SLUGS, THINGS

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# hands in the main form of the page with nothing in it, whatever the browser itself would say of that
HAND_IN = """() => {
  const forms = [...document.querySelectorAll("main form[method=post]")].filter((form) => form.querySelector("input:not([type=hidden]), textarea, select"));
  if (!forms.length) return false;
  const form = forms[0];
  form.noValidate = true;
  form.querySelectorAll("input:not([type=hidden], [type=checkbox], [type=radio]), textarea").forEach((field) => { field.value = ""; });
  form.requestSubmit([...form.querySelectorAll("button.act:not(.second)")].pop());
  return true;
}"""


@pytest.fixture
def stage(scene, settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    elsewhere()
    rows = {"rule": Rule.objects.get().pk, "need of owners": OwnerNeed.objects.get().pk}
    return rows | {"outcome here": near().pk, "outcome there": Outcome.objects.get(locate="L-9").pk}


def handed_back(page, address):
    """Hand the form of this page in empty; what is wrong with what comes back."""
    page.goto(address)
    if page.locator("main form[method=post] :is(input:not([type=hidden]), textarea, select)").count() == 0:
        return
    with page.expect_navigation():
        page.evaluate(HAND_IN)
    if page.locator("main :is([role=alert], .invalid-feedback)").count() == 0:
        yield address, "was not handed back", page.url
    yield from ((address, *one) for one in looks(page))


def forms_of_books(stage):
    """Of each register the form of a new record, of a change, of many, and of each later fact."""
    for kind, slug in SLUGS.items():
        book, thing = books()[slug], THINGS[kind][HERE].key
        key = stage.get(thing, thing)
        yield from (reverse("enter", args=[slug]), reverse("correct", args=[slug, key]))
        if book.many:
            yield reverse("many", args=[slug])
        yield from (reverse("end", args=[slug, key, end.column]) for end in book.ends if kind != "enquiry")


def test_the_forms_of_books_handed_back(browser, live_server, stage):
    wrong, addresses = [], list(forms_of_books(stage))
    with page_of(browser, live_server, wrong, "P-SAF") as page:
        for address in addresses:
            wrong += handed_back(page, address)
    assert wrong == []
    assert len(addresses) > 2 * len(SLUGS)


def test_other_forms_handed_back(browser, live_server, stage):
    wrong = []
    with page_of(browser, live_server, wrong, "P-ISS") as page:
        for address in ("/permits/PD-1/sign/", "/password/", "/account/second-factor/", "/prepare/?like=PD-1", "/permits/PD-1/change/"):
            wrong += handed_back(page, address)
    with page_of(browser, live_server, wrong) as page:
        for address in ("/sign-in/", "/password/forgotten/"):
            wrong += handed_back(page, address)
    assert wrong == []


def test_the_set_up_of_an_empty_database(browser, live_server, hands):
    wrong = []
    with page_of(browser, live_server, wrong) as page:
        wrong += faults(page, page.goto("/"))
        assert page.url.endswith("/set-up/")
        wrong += handed_back(page, "/set-up/")
    assert wrong == []


def test_the_second_step_of_signing_in(browser, live_server, stage):
    confirm_factor(Person.objects.get(person="P-REC"), new_salt(), cast.AT)
    wrong = []
    with page_of(browser, live_server, wrong) as page:
        page.goto("/sign-in/")
        page.get_by_label("Your identifier").fill("P-REC")
        page.get_by_label("Password").fill(cast.PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/sign-in/code/")
        wrong += looks(page)
        page.get_by_label("Code").fill("000000")
        page.get_by_role("button", name="Go on").click()
        page.locator(".invalid-feedback").wait_for()
        wrong += looks(page)
    with page_of(browser, live_server, wrong, "P-REC") as page:
        wrong += faults(page, page.goto("/account/second-factor/off/"))
    assert wrong == []


def test_a_second_factor_and_its_recovery_codes(browser, live_server, stage):
    wrong = []
    with page_of(browser, live_server, wrong, "P-REC") as page:
        page.goto("/account/second-factor/")
        secret = page.locator("main code").first.inner_text().replace(" ", "")
        page.get_by_label("Your password").fill(cast.PASSWORD)
        page.get_by_label("Code").fill(pyotp.TOTP(secret).at(cast.AT))
        page.get_by_role("button", name="Put it in use").click()
        page.locator(".codes").wait_for()
        wrong += looks(page)
        wrong += faults(page, page.goto("/account/"))
        wrong += faults(page, page.goto("/account/second-factor/recovery-codes/"))
    assert wrong == []


def test_a_password_by_mail(browser, live_server, stage):
    whom = Person.objects.get(person="P-CR1")
    address = reverse("choose_password", args=[whom.pk, default_token_generator.make_token(whom)])
    wrong = []
    with page_of(browser, live_server, wrong) as page:
        wrong += faults(page, page.goto(address))
        page.get_by_role("button", name="Set it").evaluate("button => { button.form.noValidate = true; button.form.requestSubmit(button) }")
        page.locator(".invalid-feedback").first.wait_for()
        wrong += looks(page)
        wrong += faults(page, page.goto("/password/P-CR1/none/"), 404)
    assert wrong == []


def test_an_invitation_handed_over(browser, live_server, stage):
    wrong = []
    with page_of(browser, live_server, wrong, "P-SAF") as page:
        page.goto("/people/P-CR1/access/")
        page.locator("#id_invite-password").fill(cast.PASSWORD)
        page.get_by_role("button", name="Show an address to hand over").click()
        page.locator("code.feed").wait_for()
        wrong += looks(page)
    assert wrong == []


def test_a_record_with_a_file_and_the_file_struck(browser, live_server, stage):
    with errand(Actor("P-SAF", "Hana Petros"), cast.AT) as underway:
        kept = keep(underway, "award", "A-OPE", "A-OPE", "certificate", SimpleUploadedFile("certificate.pdf", b"%PDF-1.7\n%%EOF\n"))
    wrong = []
    with page_of(browser, live_server, wrong, "P-SAF") as page:
        wrong += faults(page, page.goto("/records/awards/A-OPE/"))
        wrong += faults(page, page.goto(reverse("strike", args=["awards", "A-OPE", kept.key])))
        page.locator("main textarea, main input[type=text]").first.fill("of somebody else")
        page.locator("main form button.act").first.click()
        page.locator(".told.success").wait_for()
        wrong += looks(page)
    assert wrong == []


def test_what_is_not_there(browser, live_server, stage):
    wrong = []
    with page_of(browser, live_server, wrong, "P-OPE") as page:
        for address in ("/records/none/", "/records/sites/S-9/", "/history/", "/nowhere/"):
            wrong += [(address, *one) for one in faults(page, page.goto(address), 404)]
    assert wrong == []
