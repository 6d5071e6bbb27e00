"""What a watch costs: `pytest tests/bench/bench_watch.py`. An idle one over ten times as many live permits, in processor time and in memory, as ratios."""

import sys
import tracemalloc
from time import process_time

import pytest
from shapely import from_wkt, to_wkt
from shapely.affinity import translate

from locates.life.watching import watched
from locates.permits.models import Permit, SignOff
from locates.surveys.models import Enquiry, Locate, PlanService, Sweep, Trace
from records.firm.models import Site
from tests.life.conftest import LATER, accepted

FEW, MANY = 1_000, 10_000
APART_M, A_SITE = 40, 200


@pytest.fixture
def say(capsys):
    def said(what: str, value: float, unit: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{what}: {value:,.2f} {unit}")

    return said


def columns(row) -> dict:
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def at_site(of: str, number: int) -> str:
    """The identifier of what belongs to the site of this permit."""
    return f"{of}-{number // A_SITE}"


def sites(numbers: set[int]) -> None:
    """As many sites, each with its owners' answers."""
    site, service = columns(Site.objects.get(pk="S-1")), columns(PlanService.objects.get(pk="V-1"))
    enquiries = list(map(columns, Enquiry.objects.filter(site="S-1")))
    Site.objects.bulk_create(Site(**site | {"site": f"S-1-{one}"}) for one in numbers)
    Enquiry.objects.bulk_create(
        Enquiry(**one | {"enquiry": f"{one['enquiry']}-{number}", "site_id": f"S-1-{number}"}) for one in enquiries for number in numbers
    )
    PlanService.objects.bulk_create(PlanService(**service | {"service": f"V-1-{one}", "enquiry_id": f"E-1-{one}"}) for one in numbers)


def moved(wkt: str, number: int) -> str:
    return to_wkt(translate(from_wkt(wkt), xoff=APART_M * (number % 100), yoff=APART_M * (number // 100)), trim=True)


def grow(names: range) -> None:
    """As many more accepted permits, each upon ground and a locate of its own, so many at a site."""
    sites({number // A_SITE for number in names} - {number // A_SITE for number in range(2, names.start)})
    permit, locate, trace = columns(Permit.objects.get(pk="PD-1")), columns(Locate.objects.get(pk="L-1")), columns(Trace.objects.get(pk="T-1"))
    sweeps, signed = list(map(columns, Sweep.objects.filter(locate="L-1"))), list(map(columns, SignOff.objects.filter(permit="PD-1")))
    Locate.objects.bulk_create(Locate(**locate | {"locate": f"L-{n}", "site_id": at_site("S-1", n)}) for n in names)
    Sweep.objects.bulk_create(
        Sweep(**one | {"sweep": f"{one['sweep']}-{n}", "locate_id": f"L-{n}", "area": moved(one["area"], n)}) for n in names for one in sweeps
    )
    Trace.objects.bulk_create(Trace(**trace | {"trace": f"T-{n}", "locate_id": f"L-{n}", "line": moved(trace["line"], n)}) for n in names)
    answers = Trace.services.through
    answers.objects.bulk_create(answers(trace_id=f"T-{n}", planservice_id=at_site("V-1", n)) for n in names)
    Permit.objects.bulk_create(
        Permit(**permit | {"permit": f"PD-{n}", "site_id": at_site("S-1", n), "locate_id": f"L-{n}", "outline": moved(permit["outline"], n)}) for n in names
    )
    crew = Permit.crew.through
    crew.objects.bulk_create(crew(permit_id=f"PD-{n}", person_id=person) for n in names for person in ("P-CR1", "P-CR2"))
    SignOff.objects.bulk_create(SignOff(**one | {"id": None, "permit_id": f"PD-{n}"}) for one in signed for n in names)


def cost(live: int) -> tuple[float, int]:
    """Processor seconds of an idle watch, and the most memory that it held, in bytes."""
    begun = process_time()
    report = watched(LATER)
    seconds = process_time() - begun
    assert (report.live, report.suspended, report.told, report.troubled) == (live, [], [], {})
    tracemalloc.start()
    watched(LATER)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return seconds, most


@pytest.mark.django_db
def test_ten_times_as_many_permits_cost_ten_times_the_time_and_hardly_more_memory(say):
    accepted()
    grow(range(2, FEW + 1))
    seconds_few, memory_few = cost(FEW)
    grow(range(FEW + 1, MANY + 1))
    seconds_many, memory_many = cost(MANY)
    say(f"watching {MANY:,} live permits against {FEW:,}", seconds_many / seconds_few, "times the processor time")
    say("the most memory held", memory_many / memory_few, "times")
    say("watching", MANY / seconds_many, "permits a second")
    assert seconds_many < 1.5 * (MANY / FEW) * seconds_few
    assert memory_many < 2 * memory_few
