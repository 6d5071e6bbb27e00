"""The seal of an issued paper, looked at by validators that are not ours.

Sources: ISO 32000-2:2020, 12.8 (signatures and their byte ranges) and ETSI EN 319 142-1 V1.1.1, clause 6.3 (what a PAdES signature of level B-B holds and
may not hold), both from memory; the validation of pyHanko, called without our own code; `pdfsig` of Poppler, where it is installed.
"""

import re
import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from io import BytesIO

import pytest
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext
from pypdf import PdfReader

from locates.papers.seal import make_seal, own_seal, sealed
from locates.permits.paper import permit_pdf
from records.paper.bearing import Mark
from tests.locates.printing import ACCEPTED, ISSUED, sheet_of

MARK = Mark("version 1", "https://permits.example/p/abcd-efgh-jkmn-pqrs/1-0123abcd/")
pdfsig = pytest.mark.skipif(shutil.which("pdfsig") is None, reason="no pdfsig on this machine: apt-get install poppler-utils")


@pytest.fixture
def paper(settings):
    """A sealed paper of a signed permit."""
    now = datetime.now(UTC)
    make_seal("Field & Furrow", now - timedelta(hours=1))
    return sealed(permit_pdf(sheet_of(signatures=[ISSUED, ACCEPTED]), MARK), own_seal(now))


def signature(data):
    """The one signature, as a library that did not write it reads it."""
    (field,) = [one.get_object() for one in PdfReader(BytesIO(data)).trailer["/Root"]["/AcroForm"]["/Fields"]]
    return field["/V"]


def flipped(data, at):
    return data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]


def places(data):
    """Places of bytes all over what is signed, before and behind the signature itself."""
    start, one, two, rest = signature(data)["/ByteRange"]
    return [*range(start + 20, one, one // 12), two + 5, two + rest - 40]


def sound(data):
    """Does pyHanko's validation find the one signature unaltered?"""
    (found,) = PdfFileReader(BytesIO(data), strict=False).embedded_signatures
    told = validate_pdf_signature(found, ValidationContext(trust_roots=[found.signer_cert]))
    return told.intact and told.valid and told.bottom_line


def pdfsig_says(data, tmp_path):
    path = tmp_path / "paper.pdf"
    path.write_bytes(data)
    return subprocess.run(["pdfsig", "-nocert", path], capture_output=True, text=True, check=False).stdout


def test_the_signature_is_of_the_kind_that_pades_asks_for(paper):
    found = signature(paper)
    assert (found["/SubFilter"], found["/Filter"]) == ("/ETSI.CAdES.detached", "/Adobe.PPKLite")
    assert re.fullmatch(r"D:\d{14}.*", found["/M"])
    assert "/Cert" not in found


def test_its_attributes_are_those_of_level_b_b(paper):
    (found,) = PdfFileReader(BytesIO(paper)).embedded_signatures
    attributes = {one["type"].native for one in found.signer_info["signed_attrs"]}
    assert {"content_type", "message_digest", "signing_certificate_v2"} <= attributes
    assert "signing_time" not in attributes
    assert found.signer_info["digest_algorithm"]["algorithm"].native == "sha256"


def test_it_covers_the_whole_file_but_for_itself(paper):
    start, one, two, rest = signature(paper)["/ByteRange"]
    assert (start, two + rest) == (0, len(paper))
    assert re.fullmatch(rb"<[0-9A-Fa-f]+>", paper[one:two])


def test_an_unaltered_paper_is_found_sound(paper):
    assert sound(paper)


def test_each_changed_byte_is_found(paper):
    altered = [flipped(paper, at) for at in places(paper)]
    assert len(altered) > 10
    assert [one for one in altered if _holds(one)] == []


def _holds(data):
    """A file that can no longer be read does not hold either."""
    try:
        return sound(data)
    except Exception:
        return False


@pdfsig
def test_poppler_finds_it_valid_and_the_whole_document_signed(paper, tmp_path):
    said = pdfsig_says(paper, tmp_path)
    assert "Signature is Valid." in said
    assert "Total document signed" in said
    assert "Field & Furrow" in said


@pdfsig
def test_poppler_finds_each_changed_byte(paper, tmp_path):
    assert [at for at in places(paper) if "Signature is Valid." in pdfsig_says(flipped(paper, at), tmp_path)] == []
