"""The invented firm's people, what they are taught, and when they passed. Every name is made up."""

from collections.abc import Iterable
from typing import NamedTuple

from locates.permits.demo.days import Calendar, settle

FIRM = "Marrowfen Groundworks"
LENT = "Tiderow Plant & Labour"
AGENCY = "Ossel Street Crews"


class Someone(NamedTuple):
    """`passed`: course and days since, comma between; a renewal is one more. `left`: days since the last day."""

    person: str
    name: str
    roles: str
    passed: str
    employer: str = FIRM
    left: int | None = None


COURSES = (
    ("LOC", "Locating underground services: passive and induction", "36", "passive_power;passive_radio;induction"),
    ("LOC-ADV", "Locating underground services: connection, clamp and sonde", "36", "direct_connection;clamp;sonde"),
    ("ISSUE", "Issuing permits to dig", "24", "issue_permit"),
    ("RECEIVE", "Receiving permits to dig and briefing a crew", "24", "receive_permit"),
    ("DIG", "Digging near underground services", "36", "dig"),
    ("DIG-OLD", "Hand digging, taught on the job before the courses began", "none", "dig"),
)

PEOPLE = (
    Someone("P-01", "Ingeborg Åsvaldsen", "safety_manager", "ISSUE 410"),
    Someone("P-02", "Ọláṣùnkànmí Fágbohùnmi", "safety_manager;supervisor", "ISSUE 250"),
    Someone("P-03", "Maren Tollgarth", "supervisor", "ISSUE 905,ISSUE 190,RECEIVE 300"),
    Someone("P-04", "Δωροθέα Καλλιγέρη", "supervisor", "ISSUE 830,ISSUE 118"),
    Someone("P-05", "Hēmi Tāwhirirangi", "supervisor", "ISSUE 340,RECEIVE 340"),
    Someone("P-06", "Květuše Hvězdníková", "supervisor", "ISSUE 70"),
    Someone("P-07", "Kerensa Polwidden", "supervisor", "ISSUE 440,RECEIVE 200"),
    Someone("P-08", "Олекса Дрібновід", "supervisor", "RECEIVE 880,RECEIVE 165,DIG 500"),
    Someone("P-09", "ירדנה בן-שקמה", "supervisor", "RECEIVE 711,DIG 320"),
    Someone("P-10", "Tobiah Wrenhallow", "supervisor", "RECEIVE 752,DIG 240"),
    Someone("P-11", "Mereana Pōhutukai", "supervisor", "RECEIVE 300,DIG 640"),
    Someone("P-12", "فرزانه دشتپیما", "supervisor", "RECEIVE 95,DIG 95"),
    Someone("P-13", "Wulfric Oxenmoor", "supervisor", "RECEIVE 150,DIG 400"),
    Someone("P-14", "Thảo Nguyên Lạc", "operator", "LOC 1210,LOC 140,LOC-ADV 138"),
    Someone("P-15", "Casimir Żółkwiński", "operator", "LOC 420,LOC-ADV 415"),
    Someone("P-16", "सुमेधा वनपाल", "operator", "LOC 1076,LOC-ADV 600"),
    Someone("P-17", "Anahera Whenuaroa", "operator", "LOC 250,LOC-ADV 248"),
    Someone("P-18", "Lambert Quickfoss", "operator", "LOC 700,LOC-ADV 690"),
    Someone("P-19", "沈若帆", "", "DIG 510"),
    Someone("P-20", "Bartholomew Crake", "", "DIG-OLD 4300,DIG 800"),
    Someone("P-21", "Ünzile Kırçiçek", "", "DIG 210"),
    Someone("P-22", "Mbali Nkwenkwezana", "", "DIG 1190,DIG 60"),
    Someone("P-23", "서하람", "", "DIG 330"),
    Someone("P-24", "Giacinta Roverspino", "", "DIG 90", LENT),
    Someone("P-25", "Tāne Rākaumanga", "", "DIG 405"),
    Someone("P-26", "Sione Falekulata", "", "DIG 700"),
    Someone("P-27", "Εὐάγγελος Πετρίδης-Βάθης", "", "DIG 1010", LENT),
    Someone("P-28", "Rowland Silverthorn-Pike", "", "DIG 450", AGENCY, 6),
    Someone("P-29", "แก้วตา ศิลาทราย", "", "DIG 275", AGENCY),
    Someone("P-30", "Ignatius Thornewell-Ruddock", "", "", AGENCY),
    Someone("P-31", "Peregrine Ashlock", "operator", "LOC 1300", FIRM, 190),
)

# who lost what, how many days ago, and why
WITHDRAWN = {("P-18", "LOC"): (4, "Swept with the receiver's gain at its lowest stop; to be assessed again before the next locate.")}

ASSESSORS = ("Ingeborg Åsvaldsen", "Hollowgate Training Yard", "Kōrero Skills Centre")


def people_rows(days: Calendar) -> list[dict[str, str]]:
    return [
        {
            "person": one.person,
            "name": one.name,
            "email": f"{one.person.lower()}@marrowfen.example",
            "employer": one.employer,
            "roles": one.roles,
            "left_on": "" if one.left is None else days.day(one.left).isoformat(),
        }
        for one in PEOPLE
    ]


def need_rows(days: Calendar) -> list[dict[str, str]]:
    """What the firm asks of each role."""
    asked = (("operator", "passive_power;passive_radio;induction;direct_connection"), ("supervisor", "issue_permit"), ("crew", "dig"))
    since = days.day(700).isoformat()
    return [
        {"need": f"NE-{number}", "role": role, "effective_from": since, "authorises": things, "source": f"{FIRM}, training plan 4"}
        for number, (role, things) in enumerate(asked, 1)
    ]


def course_rows() -> list[dict[str, str]]:
    return [dict(zip(("course", "title", "valid_months", "authorises"), course, strict=True)) for course in COURSES]


def award_rows(days: Calendar) -> list[dict[str, str]]:
    """Every pass of every person, numbered in the order of the table."""
    passes = [(one.person, *one_pass.split()) for one in PEOPLE for one_pass in one.passed.split(",") if one_pass]
    return [_award(days, number, *one_pass) for number, one_pass in enumerate(passes, 1)]


def _award(days: Calendar, number: int, person: str, course: str, back: str) -> dict[str, str]:
    withdrawn = WITHDRAWN.get((person, course))
    return {
        "award": f"AW-{number:03d}",
        "person": person,
        "course": course,
        "awarded_on": settle(days.day(int(back))).isoformat(),
        "certificate_no": f"MG-{course}-{4000 + 37 * number}",
        "assessor": ASSESSORS[number % len(ASSESSORS)],
        "withdrawn_on": days.day(withdrawn[0]).isoformat() if withdrawn else "",
        "withdrawn_because": withdrawn[1] if withdrawn else "",
    }


def posting_rows(days: Calendar, sites: Iterable[tuple[str, Iterable[str], Iterable[str]]]) -> list[dict[str, str]]:
    """At each site its supervisors, who issue and accept there, and its operators, for the last year."""
    named = [(site, role, person) for site, *groups in sites for role, group in zip(("supervisor", "operator"), groups, strict=True) for person in group]
    return [_posting(days, number, *one) for number, one in enumerate(dict.fromkeys(one for one in named if one[1] in _roles(one[2])), 1)]


def _roles(person: str) -> list[str]:
    return next(one.roles for one in PEOPLE if one.person == person).split(";")


def _posting(days: Calendar, number: int, site: str, role: str, person: str) -> dict[str, str]:
    return {"posting": f"PO-{number:03d}", "person": person, "site": site, "role": role, "begins_on": days.day(380).isoformat(), "ends_on": ""}


def name_of(person: str) -> str:
    return next(one.name for one in PEOPLE if one.person == person)
