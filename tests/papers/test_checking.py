"""`manage.py check_paper`: what was issued, what was altered, what was replaced, and what is not ours."""

from datetime import timedelta
from hashlib import sha256
from io import BytesIO, StringIO

import pytest
from django.core.management import call_command
from pypdf import PdfReader, PdfWriter

from locates.papers.models import Paper
from locates.papers.seal import make_seal, own_seal, sealed
from records.files.store import place
from tests import cast
from tests.papers.conftest import printed, signed
from tests.papers.test_printing import withdraw
from tests.papers.test_seal import PLAIN

pytestmark = pytest.mark.django_db
LATER = cast.AT + timedelta(minutes=5)


@pytest.fixture
def paper(scene):
    make_seal("Field & Furrow", cast.AT - timedelta(days=1))
    signed()
    return printed()


@pytest.fixture
def check(tmp_path):
    """The exit status of the command and what it says of such a file."""

    def run(data):
        path, said = tmp_path / "paper.pdf", StringIO()
        path.write_bytes(data)
        try:
            call_command("check_paper", str(path), stdout=said, stderr=said)
        except SystemExit as ended:
            return ended.code, said.getvalue()
        return 0, said.getvalue()

    return run


def data(paper):
    return place(paper.sha256).read_bytes()


def test_an_issued_paper_is_known_with_its_number_its_digest_and_its_seal(paper, check):
    status, said = check(data(paper))
    assert status == 0
    assert "the paper of permit PD-1, version 1, printed 2027-03-03T19:30:00" in said
    assert paper.digest in said
    assert f"Its seal is intact, by the certificate with SHA-256 {paper.sealed_by}." in said
    assert "It is the latest." in said


def test_a_replaced_paper_is_told(paper, check):
    withdraw()
    printed(LATER)
    status, said = check(data(paper))
    assert status == 1
    assert "REPLACED: version 2, printed 2027-03-03T19:35:00" in said


@pytest.mark.parametrize("place_of_it", [0.2, 0.5])
def test_one_changed_byte_is_told(paper, check, place_of_it):
    whole = data(paper)
    at = int(len(whole) * place_of_it)
    status, said = check(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
    assert status == 1
    assert "No paper that was issued here has these bytes." in said
    assert "ALTERED: it bears a seal of ours, which is broken." in said


def test_something_added_after_the_seal_is_told(paper, check):
    writer = PdfWriter(BytesIO(data(paper)), incremental=True)
    writer.add_metadata({"/Keywords": "added"})
    out = BytesIO()
    writer.write(out)
    assert len(PdfReader(out).pages) > 1
    status, said = check(out.getvalue())
    assert status == 1
    assert "something was added after it" in said


def test_a_paper_without_its_seal_is_told(paper, check):
    status, said = check(PLAIN)
    assert status == 1
    assert "It bears no seal that can be read." in said


def references_in_a_stream(how):
    """A PDF whose table of references is a stream, said to be packed in such a way; what stands in it is packed in none."""
    head = b"%PDF-1.7\n1 0 obj\n<</Type/Catalog>>\nendobj\n"
    stream = b"2 0 obj\n<</Type/XRef/Size 3/W[1 2 1]/Root 1 0 R/Filter/%s/Length 13>>\nstream\nall but flate\nendstream\nendobj\n" % how
    return head + stream + b"startxref\n%d\n%%%%EOF\n" % len(head)


@pytest.mark.parametrize("how", [b"FlateDecode", b"LZWDecode", b"RunLengthDecode", b"Hearsay"])
def test_a_file_that_nothing_can_unpack_is_answered_like_any_other(paper, check, how):
    status, said = check(references_in_a_stream(how))
    assert status == 1
    assert "No paper that was issued here has these bytes." in said
    assert "It bears no seal that can be read." in said


def test_the_seal_of_somebody_else_is_told_from_ours(paper, check, settings, tmp_path):
    ours = settings.SEAL_FILE
    settings.SEAL_FILE = str(tmp_path / "theirs.pem")
    make_seal("Field & Furrow", cast.AT)
    theirs = sealed(PLAIN, own_seal(cast.AT))
    settings.SEAL_FILE = ours
    status, said = check(theirs)
    assert status == 1
    assert "the seal of somebody else" in said


def test_what_we_sealed_but_never_issued_is_no_issued_paper(paper, check):
    status, said = check(sealed(PLAIN, own_seal(cast.AT)))
    assert status == 1
    assert "It bears a seal of ours, which is intact." in said


def test_a_paper_that_the_history_does_not_tell_of_is_not_good(paper, check):
    same = {"key": paper.key, "digest": paper.digest, "sealed_by": paper.sealed_by, "person_id": "P-SAF"}
    other = sealed(PLAIN, own_seal(cast.AT))
    Paper.objects.create(permit_id="PD-1", version=2, printed_at=LATER, recorded_at=LATER, sha256=sha256(other).hexdigest(), **same)
    status, said = check(other)
    assert status == 1
    assert "The history does not tell of it" in said


def test_a_paper_issued_without_a_seal_is_known_too(scene, check):
    signed()
    status, said = check(data(printed()))
    assert status == 0
    assert "It was issued without a seal." in said


def test_a_file_that_is_not_there_is_a_wrong_call(db, tmp_path):
    said = StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("check_paper", str(tmp_path / "none.pdf"), stderr=said)
    assert ended.value.code == 2
    assert "cannot be read" in said.getvalue()
