"""The people and things that tests start from: one clear permit with all that it rests on, at a fixed instant."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from locates.instruments.models import Calibration, Check, Instrument
from locates.permits.models import Permit
from locates.surveys.models import Enquiry, Locate, PlanService, Sweep, Trace
from records.firm.models import Person, Posting, Site
from records.rules.words import TECHNIQUES
from training.models import Award, Course

AT = datetime(2027, 3, 3, 19, 30, tzinfo=UTC)  # 4 March 2027, 08:30 at the site
RECORDED = AT - timedelta(days=2)
ZONE = "Pacific/Auckland"
PASSWORD = "three wet spades at noon"

OUTLINE = "POLYGON((100 100,110 100,110 102,100 102,100 100))"
AROUND = "POLYGON((95 95,115 95,115 107,95 107,95 95))"

PEOPLE = {
    "P-ISS": ("Ines Harrow", ("supervisor",)),
    "P-REC": ("Marek Tane", ("supervisor",)),
    "P-CR1": ("Jo Brandt", ()),
    "P-CR2": ("Sana Wren", ("operator",)),
    "P-OPE": ("Olu Hale", ("operator",)),
    "P-SAF": ("Hana Petros", ("safety_manager",)),
    "P-FAR": ("Tam Reyes", ("operator",)),
}
COURSES = {
    "C-LOC": ("Locating services", 36, TECHNIQUES),
    "C-ISS": ("Issuing permits", 24, ("issue_permit",)),
    "C-REC": ("Receiving permits", 24, ("receive_permit",)),
    "C-DIG": ("Digging near services", None, ("dig",)),
}
AWARDS = {"A-OPE": ("P-OPE", "C-LOC"), "A-ISS": ("P-ISS", "C-ISS"), "A-REC": ("P-REC", "C-REC"), "A-CR1": ("P-CR1", "C-DIG"), "A-CR2": ("P-CR2", "C-DIG")}
POSTINGS = {"N-ISS": ("P-ISS", "supervisor"), "N-REC": ("P-REC", "supervisor"), "N-OPE": ("P-OPE", "operator"), "N-CR2": ("P-CR2", "operator")}
SWEEPS = {
    "SW-1": ("passive_power", "0"),
    "SW-2": ("passive_power", "90"),
    "SW-3": ("passive_radio", "0"),
    "SW-4": ("passive_radio", "90"),
    "SW-5": ("induction", None),
}


def people():
    """Everyone, each with the same password."""
    made = {key: Person(person=key, name=name, roles=roles, employer="Field & Furrow", recorded_at=RECORDED) for key, (name, roles) in PEOPLE.items()}
    for one in made.values():
        one.set_password(PASSWORD)
    Person.objects.bulk_create(made.values())
    Course.objects.bulk_create(
        Course(course=key, title=title, valid_months=months, authorises=things, recorded_at=RECORDED) for key, (title, months, things) in COURSES.items()
    )
    Award.objects.bulk_create(
        Award(award=key, person_id=person, course_id=course, awarded_on=date(2026, 5, 1), recorded_at=RECORDED) for key, (person, course) in AWARDS.items()
    )
    return made


def kit():
    """A receiver and a transmitter, calibrated and checked before use."""
    for name, kind in (("I-R1", "receiver"), ("I-T1", "transmitter")):
        Instrument.objects.create(instrument=name, kind=kind, serial_no=f"{kind[:2]}-4471", calibration_months=12, recorded_at=RECORDED)
        Calibration.objects.create(
            calibration=f"K-{name}", instrument_id=name, calibrated_on=date(2026, 6, 1), as_found="in_tolerance", as_left="in_tolerance", recorded_at=RECORDED
        )
        Check.objects.create(
            check_id=f"B-{name}",
            instrument_id=name,
            kind="before_use",
            checked_at=AT - timedelta(hours=26),
            person_id="P-OPE",
            result="pass",
            recorded_at=RECORDED,
        )


def postings():
    """The site's supervisors and operators."""
    Posting.objects.bulk_create(
        Posting(posting=key, person_id=person, site_id="S-1", role=role, begins_on=date(2027, 1, 4), recorded_at=RECORDED)
        for key, (person, role) in POSTINGS.items()
    )


def plans():
    """Two owners asked and answered; one shows a cable."""
    asked = {"service_owner": "Northline Power", "sent_on": date(2027, 2, 20), "answered_at": AT - timedelta(days=6), "recorded_at": RECORDED}
    Enquiry.objects.create(enquiry="E-1", site_id="S-1", reference_no="NP 2207", **asked)
    Enquiry.objects.create(enquiry="E-2", site_id="S-1", nothing_shown=True, **asked | {"service_owner": "Lowtide Water"})
    PlanService.objects.create(service="V-1", enquiry_id="E-1", utility="electricity", conductive=True, recorded_at=RECORDED)


def locate():
    """The ground swept both ways by both passive techniques and by induction, and the cable traced."""
    begun = {"started_at": AT - timedelta(hours=25), "finished_at": AT - timedelta(hours=22)}
    Locate.objects.create(locate="L-1", site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", transmitter_id="I-T1", recorded_at=RECORDED, **begun)
    for name, (technique, bearing) in SWEEPS.items():
        offset = None if bearing else Decimal(5)
        Sweep.objects.create(
            sweep=name,
            locate_id="L-1",
            technique=technique,
            area=AROUND,
            bearing_deg=bearing,
            spacing_m=Decimal("0.5"),
            transmitter_offset_m=offset,
            recorded_at=RECORDED,
        )
    found = {"utility": "electricity", "technique": "induction", "line": "LINESTRING(105 96,105 106)", "quality_level": "B"}
    depths = {"width_m": Decimal("0.1"), "depth_m": Decimal("0.8"), "raised_by_m": Decimal("0.3"), "raised_depth_m": Decimal("1.1")}
    Trace.objects.create(trace="T-1", locate_id="L-1", recorded_at=RECORDED, **found, **depths).services.set(["V-1"])


def permit(name="PD-1", **other):
    """A permit like the clear one, but for what is said."""
    plain = {
        "site_id": "S-1",
        "locate_id": "L-1",
        "work": "Trench for a water pipe across the yard",
        "outline": OUTLINE,
        "depth_m": Decimal("1.2"),
        "method": "hand",
        "valid_from": AT - timedelta(hours=1),
        "valid_to": AT + timedelta(hours=30),
        "issuer_id": "P-ISS",
        "receiver_id": "P-REC",
        "recorded_at": RECORDED,
    }
    made = Permit.objects.create(permit=name, **plain | other)
    made.crew.set(["P-CR1", "P-CR2"])
    return made


def everything():
    """The whole cast, and the clear permit."""
    people()
    Site.objects.create(
        site="S-1", name="Quay yard", time_zone=ZONE, rule_set_id="default", owners_to_ask=("Northline Power", "Lowtide Water"), recorded_at=RECORDED
    )
    postings()
    kit()
    plans()
    locate()
    return permit()
