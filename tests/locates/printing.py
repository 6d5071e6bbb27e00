"""Sheets and papers for tests: the clear permit of the rules' cast, changed as asked, and what another library reads in its PDF."""

import re
from io import BytesIO
from unicodedata import normalize

from pypdf import PdfReader

from locates.permits.paper import permit_pdf
from locates.permits.rules.gate import assess
from locates.permits.rules.signing import DECLARATIONS
from locates.permits.sheet import sheet
from tests.rules.cast import DAY, clear, instant
from tests.rules.changes import together

ISSUED = {
    "meaning": "issue",
    "person": "I-1",
    "name": "Ivo Larch",
    "at": "2027-03-03T20:10:00+00:00",
    "declaration": DECLARATIONS["issue"],
    "digest": "ab" * 32,
}
ACCEPTED = {
    "meaning": "accept",
    "person": "R-1",
    "name": "Rena Sorrel",
    "at": "2027-03-03T20:20:00+00:00",
    "declaration": DECLARATIONS["accept"],
    "digest": "",
}


def sheet_of(*changes, at=f"{DAY}T09:00", signatures=(), zone="Pacific/Auckland"):
    """The sheet of the clear permit with these changes, judged at the site's own time."""
    evidence = together(*changes)(clear(zone))
    return sheet(evidence, assess(evidence, instant(at, evidence.site.zone)), signatures)


def pages(printed):
    """The text of each page, with single spaces."""
    return [re.sub(r"\s+", " ", normalize("NFKC", page.extract_text())) for page in PdfReader(BytesIO(printed)).pages]


def words(printed):
    return " ".join(pages(printed))


def printed(*changes, **judged):
    """The words of the paper of the clear permit with these changes."""
    return words(permit_pdf(sheet_of(*changes, **judged)))
