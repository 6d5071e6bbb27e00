"""What is done with the demo firm: loaded by the ordinary loader, given a password, signed by the ordinary signature, printed on the ordinary paper."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from locates.permits.actions import Prospect, preview, sign
from locates.permits.demo.scenario import write
from locates.permits.models import Permit
from locates.permits.paper import permit_pdf
from locates.permits.printing import sheet_of
from locates.permits.rules.signing import signer
from records.base import ByCodePoint
from records.exchange.loading import load
from records.firm.actions import set_one_password
from records.firm.models import Person
from records.ledger.chain import Actor

DEMO = Actor("", "demo command")
SIGNED = {"Q-101": 2, "Q-102": 1}  # how many of the signatures due on each the command makes
FOLDER = "demo-firm"


def bring_in(at: datetime) -> int:
    """Load the scenario; gives the number of records. Raises ValueError with what is wrong."""
    with TemporaryDirectory() as scratch:
        folder = Path(scratch) / FOLDER
        folder.mkdir()
        write(folder, at)
        loaded = load(folder, DEMO, at)
    if loaded.wrong:
        raise ValueError("\n".join(map(str, loaded.problems())))
    return sum(loaded.written.values())


def open_doors(password: str, at: datetime) -> None:
    """Give the one password to everyone who has not left and has none."""
    closed = [person for person in Person.objects.filter(left_on=None).order_by("person") if not person.has_usable_password()]
    if closed:
        set_one_password(closed, password, DEMO, at)


def sign_some(at: datetime) -> None:
    """Make the signatures that the demo shows as made, each by the person whom the permit names."""
    for permit, times in SIGNED.items():
        for _ in range(times):
            sign_next(permit, at)


def sign_next(permit: str, at: datetime) -> None:
    """Make the signature that is due on the permit."""
    prospect = preview(permit, at)
    sign(permit, signer(prospect.evidence.permit, prospect.due).person, prospect.due, at, prospect.seen)


def prospects(at: datetime) -> Iterator[Prospect]:
    """Every permit as it stands at the instant."""
    for permit in Permit.objects.order_by(ByCodePoint("permit")).values_list("permit", flat=True):
        yield preview(permit, at)


def print_paper(prospect: Prospect, out: Path) -> Path:
    """Write the permit's PDF into the folder; gives its path."""
    path = out / f"{prospect.verdict.permit}.pdf"
    path.write_bytes(permit_pdf(sheet_of(prospect)))
    return path
