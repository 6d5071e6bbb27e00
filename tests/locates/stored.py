"""Records put straight into the database, past every rule: one permit that is signed and one that is open, each upon a locate of its own."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from locates.instruments.models import Instrument
from locates.permits.models import Permit, SignOff
from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Sweep, Trace
from records.firm.models import Person, RuleSet, Site
from records.ledger.chain import digest

AT = datetime(2026, 3, 4, 16, tzinfo=UTC)
SQUARE, LINE = "POLYGON ((0 0, 4 0, 4 4, 0 4, 0 0))", "LINESTRING (0 2, 4 2)"
WHEN = {"recorded_at": AT}
DIG = {"work": "duct", "outline": SQUARE, "depth_m": Decimal(1), "method": "hand", "site_id": "S-1", "issuer_id": "P-01", "receiver_id": "P-02", **WHEN}


def surveyed(name, at):
    """A finished locate with one of each of its parts, and a permit upon it."""
    kim, site, receiver = Person.objects.get(pk="P-01"), Site.objects.get(), Instrument.objects.get()
    locate = Locate.objects.create(locate=f"L-{name}", site=site, operator=kim, receiver=receiver, started_at=at, finished_at=AT, **WHEN)
    Sweep.objects.create(sweep=f"SW-{name}", locate=locate, technique="passive_power", area=SQUARE, bearing_deg=0, spacing_m=1, **WHEN)
    trace = Trace.objects.create(trace=f"T-{name}", locate=locate, utility="gas", technique="induction", line=LINE, quality_level="B", **WHEN)
    trace.services.add(PlanService.objects.get(pk="SV-1"))
    Outcome.objects.create(locate=locate, service_id="SV-2", outcome="not_found", note="nothing there", **WHEN)
    permit = Permit.objects.create(permit=f"PTD-{name}", locate=locate, valid_from=AT, valid_to=AT + timedelta(hours=8), **DIG)
    permit.crew.add(kim)


def ground():
    """Two people, a site with its plans, an instrument."""
    for name in ("P-01", "P-02"):
        Person.objects.create(person=name, name=f"Kim {name}", **WHEN)
    Site.objects.create(site="S-1", name="Yard", time_zone="Etc/UTC", rule_set=RuleSet.objects.get(pk="default"), **WHEN)
    Instrument.objects.create(instrument="RX-1", kind="receiver", serial_no="1", **WHEN)
    enquiry = Enquiry.objects.create(enquiry="E-1", site_id="S-1", service_owner="Gas", sent_on=date(2026, 3, 1), **WHEN)
    for name in ("SV-1", "SV-2", "SV-3"):
        PlanService.objects.create(service=name, enquiry=enquiry, utility="gas", conductive=True, **WHEN)


def signed_off(permit):
    """A signature upon nothing much."""
    return SignOff.objects.create(
        permit_id=permit,
        meaning="issue",
        person_id="P-01",
        printed_name="Kim P-01",
        signed_at=AT,
        declaration="I stood there.",
        digest=digest("{}"),
        sheet="{}",
        verdict='{"blocks":[]}',
        **WHEN,
    )


def one_signed_one_open():
    ground()
    surveyed("signed", AT - timedelta(hours=2))
    surveyed("open", AT - timedelta(hours=2))
    return signed_off("PTD-signed")
