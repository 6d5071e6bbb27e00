"""A second site beside the cast's first, with people, plans, a locate and a permit of its own: what the people of the first may not see."""

from datetime import date, timedelta
from decimal import Decimal

from locates.fieldwork.models import FieldSheet, Fix
from locates.grids.models import Grid
from locates.logs.models import Layout, Log
from locates.logs.rules import layout, use
from locates.owners.models import OwnerAgreement, OwnerNeed, Rating
from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Sweep, Trace, WrongPlan
from locates.trials.models import PlannedLine, Report, TrialHole
from records.files.models import Attachment
from records.firm.models import Person, Posting, Rule, RuleSet, Site
from tests import cast
from training.models import Award, Need

OF = {"recorded_at": cast.RECORDED}
HOW = layout.How("utf-8", "comma", 0, ("when", "what"), False, 0, "epoch", "", 1, "none", words={"P": "passive_power"})
SHOWS = use.Account(
    use.Yardstick(Decimal(60), Decimal(1), Decimal("0.1")), 9, 9, cast.AT, cast.AT, {"2027-03-04": 9}, {"passive_power": (use.Use(0, 8, 8, 9),)}, {}, {}
)


HOLE = {"exposed_at": cast.AT - timedelta(hours=1), "x": 5, "y": 0, "utility": "water", "depth_m": "0.9", **OF}
TOLD = {"service_owner": "Moor Power", "reported_at": cast.AT, **OF}


def hole(name, locate, person, **other):
    """A trial hole, like the others but for what is said."""
    return TrialHole.objects.create(hole=name, locate_id=locate, person_id=person, **HOLE | other)


def agreement(name, **other):
    """What an owner agreed to at a site, good for some days."""
    told = {"agreed": ("consult",), "agreed_with": "Ro Hart", "person_id": "P-SAF", "agreed_at": cast.AT - timedelta(hours=1)}
    days = {"good_from": date(2027, 3, 4), "good_through": date(2027, 3, 12)}
    return OwnerAgreement.objects.create(agreement=name, **told | days | OF | other)


def field_work(where, locate, fix):
    """The sheet of a locate under way, and a position that a phone gave."""
    FieldSheet.objects.create(sheet=f"sheet-{where}", locate_id=locate, outline=cast.OUTLINE, depth_m="1.2", method="hand", **OF)
    Fix.objects.create(fix=fix, locate_id=locate, taken_at=cast.AT, lon="174.7", lat="-36.8", accuracy_m="3.2", x=5, y=0, **OF)


def elsewhere():
    """The far site S-9: its supervisor P-SU2, its operator P-FAR, and what they recorded. Gives its permit, PD-9."""
    far = Person(person="P-SU2", name="Ibra Solheim", roles=("supervisor",), **OF)
    far.set_password(cast.PASSWORD)
    far.save()
    RuleSet.objects.create(rule_set="far", **OF)
    Rule.objects.create(rule_set_id="far", effective_from=date(2027, 1, 1), key="plan_valid_days", value="20", source="the far site's own", **OF)
    Site.objects.create(site="S-9", name="Far moor", time_zone="Europe/Oslo", rule_set_id="far", **OF)
    for key, person, role in (("N-SU2", "P-SU2", "supervisor"), ("N-FAR", "P-FAR", "operator")):
        Posting.objects.create(posting=key, person_id=person, site_id="S-9", role=role, begins_on=date(2027, 1, 4), **OF)
    Need.objects.create(need="D-1", role="crew", effective_from=date(2027, 1, 1), authorises=("dig",), **OF)
    Award.objects.create(award="A-FAR", person_id="P-FAR", course_id="C-LOC", awarded_on=date(2026, 5, 1), **OF)
    Enquiry.objects.create(enquiry="E-9", site_id="S-9", service_owner="Moor Power", sent_on=date(2027, 2, 20), answered_at=cast.AT - timedelta(days=6), **OF)
    PlanService.objects.create(service="V-9", enquiry_id="E-9", utility="water", conductive=False, **OF)
    Locate.objects.create(locate="L-9", site_id="S-9", operator_id="P-FAR", receiver_id="I-R1", started_at=cast.AT - timedelta(hours=2), **OF)
    Sweep.objects.create(sweep="SW-9", locate_id="L-9", technique="passive_power", area=cast.AROUND, **OF)
    Trace.objects.create(trace="T-9", locate_id="L-9", utility="water", technique="sonde", line="LINESTRING (0 0, 9 0)", quality_level="B", **OF)
    Outcome.objects.create(locate_id="L-9", service_id="V-9", outcome="not_found", note="searched twice", **OF)
    PlannedLine.objects.create(service_id="V-9", line="LINESTRING (0 1, 9 1)", **OF)
    hole("H-9", "L-9", "P-FAR", trace_id="T-9")
    Report.objects.create(report="R-9", locate_id="L-9", hole_id="H-9", person_id="P-FAR", **TOLD)
    for key in ("S-1", "S-9"):
        Grid.objects.create(site_id=key, crs="EPSG:32632", east_0=500_000, north_0=7_000_000, recorded_at=cast.AT)
    field_work("there", "L-9", "F-9")
    OwnerNeed.objects.create(rule_set_id="far", effective_from=date(2027, 1, 1), need="mains", needed="consult", within_m=3, blocks=True, source="far", **OF)
    for where, service, site in (("here", "V-1", "S-1"), ("there", "V-9", "S-9")):
        Rating.objects.create(rating=f"VP-{where}", service_id=service, told_on=date(2027, 2, 26), voltage_kv=11, note="by telephone", **OF)
        agreement(f"AG-{where}", site_id=site, service_owner="Moor Power")
    made = cast.permit("PD-9", site_id="S-9", locate_id="L-9", issuer_id="P-SU2", receiver_id="P-SU2")
    made.crew.set([])
    return made


def near():
    """At the first site, what is not finished and so may still be changed: the locate L-2 with its parts."""
    Locate.objects.create(locate="L-2", site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", started_at=cast.AT - timedelta(hours=2), **OF)
    Sweep.objects.create(sweep="SW-21", locate_id="L-2", technique="passive_power", area=cast.AROUND, **OF)
    Trace.objects.create(trace="T-2", locate_id="L-2", utility="water", technique="sonde", line="LINESTRING (0 0, 9 0)", quality_level="B", **OF)
    PlannedLine.objects.create(service_id="V-1", line="LINESTRING (105.2 96, 105.2 106)", **OF)
    hole("H-2", "L-2", "P-OPE", trace_id="T-2")
    Report.objects.create(report="R-2", locate_id="L-2", trace_id="T-2", person_id="P-OPE", **TOLD)
    field_work("here", "L-2", "F-2")
    return Outcome.objects.create(locate_id="L-2", service_id="V-1", outcome="not_found", note="searched twice", **OF)


def logged():
    """A receiver's log of the locate L-2, LG-2, and one of the far locate L-9, LG-9, both read by the layout LY-1."""
    Layout.objects.create(layout="LY-1", name="yard receiver", how=layout.written(HOW), **OF)
    for log, locate in (("LG-2", "L-2"), ("LG-9", "L-9")):
        told = {"kind": "locate", "subject": locate, "what": "receiver’s log", "name": "walk.csv", "media_type": "text/csv", "size": 9, "sha256": log}
        file = Attachment.objects.create(key=f"file-{log}", by_id="P-OPE", by_name="Olu Hale", **told, **OF)
        Log.objects.create(log=log, locate_id=locate, layout_id="LY-1", file=file, shows=use.written(SHOWS), **OF)


def doubted():
    """An answer found wrong at the first site, WP-1, and one at the far site, WP-9."""
    for key, enquiry, person in (("WP-1", "E-2", "P-ISS"), ("WP-9", "E-9", "P-SU2")):
        WrongPlan.objects.create(wrong=key, enquiry_id=enquiry, found_at=cast.AT, person_id=person, what="a main is not on it", **OF)
