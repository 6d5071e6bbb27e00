"""A locate begins: itself and its sheet, in one errand, under a name that nobody has."""

from datetime import datetime
from uuid import uuid4

from locates.fieldwork import offering
from locates.fieldwork.books import SHEETS
from locates.fieldwork.forms import BeginForm
from locates.fieldwork.receiving import Receipt
from locates.permits.models import Permit
from locates.surveys.books import LOCATES
from locates.surveys.models import Locate
from records.books.actions import Slip, hand_in
from records.firm.models import Person, Site
from records.identifiers import next_identifiers
from records.rules.columns import INSTANT, METRES
from records.rules.kinds import UTC_ZONE
from records.rules.words import INSTRUMENT_KINDS

TRIES = 5


def begin(site: Site, form: BeginForm, receipt: Receipt) -> None:
    """Write it, by the operator who began it at the time when they did; what is wrong is said in the form."""
    told = form.cleaned_data
    row = {"site": site.pk, "operator": receipt.person.pk, "started_at": INSTANT.write(receipt.happened, UTC_ZONE)}
    row |= {kind: told[kind] for kind in INSTRUMENT_KINDS}
    dug = _dig(site, told["dig"])
    for name in next_identifiers(LOCATES.model, LOCATES.prefix, TRIES):
        sheet = {"sheet": told["sheet"], "locate": name} | dug
        address = offering.address(told["sheet"])
        slip = Slip(LOCATES, [{"locate": name} | row], beside=receipt.beside(f"Locate {name} is begun.", address), also=[("field_sheets.csv", [sheet])])
        entered = hand_in(slip, receipt.person, receipt.at)
        if entered.right or any(one.column != "locate" for one in entered.problems):
            break
    form.say(entered.problems)


def _dig(site: Site, key: str) -> dict[str, str]:
    """The dig of a permit that is being prepared, as a sheet has it."""
    found = Permit.objects.filter(site=site, pk=key).first() if key else None
    if found is None:
        return {}
    return {"outline": found.outline, "depth_m": METRES.write(found.depth_m, UTC_ZONE), "method": found.method}


def sheet_for(locate: Locate, person: Person, at: datetime) -> str:
    """A field sheet for a locate that was begun without one."""
    name = str(uuid4())
    hand_in(Slip(SHEETS, [{"sheet": name, "locate": locate.pk}]), person, at)
    return name
