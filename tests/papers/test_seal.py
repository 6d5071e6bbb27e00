"""The seal: how its key is kept, what is sealed with it, and that papers are printed without one too."""

import json
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding, NoEncryption, PrivateFormat
from django.core.management import call_command

from locates.papers.seal import Unusable, make_seal, own_seal, seal_in, sealed
from records.files.store import place
from records.ledger.models import Entry
from records.paper.frames import Heading, document, paragraph
from tests import cast
from tests.locates.printing import words
from tests.papers.conftest import printed, signed

FIRM = "Field & Furrow"
LATER = cast.AT + timedelta(minutes=5)
PLAIN = document([paragraph("One line.")], Heading("A paper", "TRIED", False, "foot"))


@pytest.fixture
def seal(settings):
    """A seal made a day before the stage's instant; gives its file."""
    return make_seal(FIRM, cast.AT - timedelta(days=1))


def command(*words_):
    said = StringIO()
    try:
        call_command(*words_, stdout=said, stderr=said)
    except SystemExit as ended:
        return ended.code, said.getvalue()
    return 0, said.getvalue()


def pem_of(key, passphrase=None):
    how = BestAvailableEncryption(passphrase) if passphrase else NoEncryption()
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, how)


def certificates(seal):
    return seal.read_bytes()[seal.read_bytes().index(b"-----BEGIN CERT") :]


# the file


def test_the_command_makes_a_key_that_its_owner_alone_reads(settings, db):
    status, said = command("make_seal", FIRM)
    path = Path(settings.SEAL_FILE)
    assert status == 0
    assert str(path) in said
    assert path.stat().st_mode & 0o777 == 0o600
    (made,) = x509.load_pem_x509_certificates(path.read_bytes())
    assert isinstance(made.public_key().curve, ec.SECP256R1)
    assert made.subject.rfc4514_string() == f"CN={FIRM}"


def test_the_command_never_writes_over_a_seal(seal, db):
    before = seal.read_bytes()
    status, said = command("make_seal", FIRM)
    assert status == 2
    assert "is there already" in said
    assert seal.read_bytes() == before


@pytest.mark.parametrize("name", ["", "x" * 65])
def test_a_name_that_no_certificate_holds_is_refused(settings, db, name):
    assert command("make_seal", name)[0] == 2
    assert not Path(settings.SEAL_FILE).exists()


def test_without_a_file_there_is_no_seal():
    assert own_seal(cast.AT) is None


def test_a_seal_knows_its_holder_and_its_certificate(seal):
    found = own_seal(cast.AT)
    assert found.name == FIRM
    assert len(found.fingerprint) == 64


def test_a_key_that_others_may_read_is_not_used(seal):
    seal.chmod(0o640)
    with pytest.raises(Unusable, match="chmod 600"):
        own_seal(cast.AT)


@pytest.mark.parametrize("at", [cast.AT - timedelta(days=2), cast.AT + timedelta(days=3650)])
def test_a_certificate_out_of_its_time_is_not_used(seal, at):
    with pytest.raises(Unusable, match="good from 2027-03-02 to"):
        own_seal(at)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (lambda own: b"", "in PEM"),
        (lambda own: b"nonsense", "in PEM"),
        (lambda own: certificates(own), "in PEM"),
        (lambda own: own.read_bytes().split(b"-----BEGIN CERT")[0], "in PEM"),
        (lambda own: pem_of(ec.generate_private_key(ec.SECP256R1())) + certificates(own), "not that of its key"),
        (lambda own: pem_of(ec.generate_private_key(ec.SECP256R1()), b"secret") + certificates(own), "without a passphrase"),
        (lambda own: pem_of(ed25519.Ed25519PrivateKey.generate()) + certificates(own), "neither RSA nor"),
    ],
)
def test_what_is_no_key_with_its_certificate_is_told(seal, content, says):
    seal.write_bytes(content(seal))
    with pytest.raises(Unusable, match=says):
        own_seal(cast.AT)


def test_a_firm_brings_its_own_key_with_certificate_and_chain(settings):
    now = datetime.now(UTC)
    root, own = rsa.generate_private_key(65537, 2048), rsa.generate_private_key(65537, 2048)
    names = [x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, one)]) for one in ("Quillmark Certificates", FIRM)]

    def certificate(subject, key):
        made = x509.CertificateBuilder().subject_name(subject).issuer_name(names[0]).public_key(key.public_key()).serial_number(x509.random_serial_number())
        made = made.not_valid_before(now - timedelta(days=1)).not_valid_after(now + timedelta(days=900))
        return made.sign(root, SHA256()).public_bytes(Encoding.PEM)

    path = Path(settings.SEAL_FILE)
    path.write_bytes(pem_of(own) + certificate(names[1], own) + certificate(names[0], root))
    path.chmod(0o600)
    found = own_seal(now)
    assert found.name == FIRM
    assert seal_in(sealed(PLAIN, found)).fingerprint == found.fingerprint


FIRST = {"person": "P-ONE", "name": "Nils Ottery", "email": "nils@marrowfen.example", "new_password1": "wet clay under old boards"}


@pytest.mark.parametrize(("firm", "made"), [(FIRM, True), ("", False), ("x" * 65, False)])
def test_the_set_up_makes_a_seal_for_a_firm_that_is_named(db, client, settings, firm, made):
    answer = client.post("/set-up/", FIRST | {"new_password2": FIRST["new_password1"], "employer": firm})
    assert answer.url == "/records/"
    assert Path(settings.SEAL_FILE).exists() is made


def test_the_set_up_leaves_a_seal_that_is_there(db, client, seal):
    before = seal.read_bytes()
    client.post("/set-up/", FIRST | {"new_password2": FIRST["new_password1"], "employer": "Another"})
    assert seal.read_bytes() == before


# papers


@pytest.fixture
def paper(scene, seal):
    signed()
    return printed()


def data(paper):
    return place(paper.sha256).read_bytes()


def test_the_paper_is_sealed_and_says_by_whom(paper):
    found = seal_in(data(paper))
    assert (found.intact, found.whole) == (True, True)
    assert found.fingerprint == paper.sealed_by == own_seal(cast.AT).fingerprint
    assert f"sealed by {FIRM} (certificate with SHA-256 {paper.sealed_by})" in words(data(paper)).replace("- ", "-")


def test_the_history_tells_the_digest_of_the_sealed_file_and_by_which_certificate(paper):
    told = json.loads(Entry.objects.get(act="permit.print").body)["after"]
    assert (told["sha256"], told["sealed_by"]) == (paper.sha256, paper.sealed_by)


def test_printed_again_it_is_not_sealed_again(paper):
    assert printed(LATER) == paper


@pytest.mark.django_db
def test_without_a_seal_the_paper_is_printed_and_says_so(scene):
    signed()
    paper = printed()
    assert seal_in(data(paper)) is None
    assert "This paper is not sealed" in words(data(paper))


def test_what_was_issued_without_a_seal_is_issued_anew_once_there_is_one(scene, db):
    signed()
    first = printed()
    make_seal(FIRM, cast.AT)
    second = printed(LATER)
    assert (first.sealed_by, bool(second.sealed_by), second.version) == ("", True, 2)


def test_a_seal_that_cannot_be_used_is_logged_and_the_paper_printed_without(scene, seal, caplog):
    seal.chmod(0o644)
    signed()
    assert printed().sealed_by == ""
    assert "chmod 600" in caplog.text


def test_two_sealed_files_of_the_same_pdf_read_the_same(seal):
    found = [seal_in(sealed(PLAIN, own_seal(cast.AT))) for _ in range(2)]
    assert found[0] == found[1]


@pytest.mark.parametrize(
    "junk", [b"", b"%PDF-1.7", b"%PDF-1.4\nstartxref\n0\n%%EOF", b"\x00" * 900, b"%PDF-1.4\nxref\n0 1\ntrailer <</Root 1 0 R>>\nstartxref\n9\n%%EOF"]
)
def test_a_file_that_holds_anything_bears_no_seal(junk):
    assert seal_in(junk) is None
