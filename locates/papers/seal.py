"""The firm's seal: a key and its certificate in one file outside the database, the signature that it sets on a PDF, and the signatures that are found in one.

What is set is a PAdES signature of level B-B (ETSI EN 319 142-1) that certifies the whole file and allows no change after it.
"""

import logging
import os
import stat
import zlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, load_pem_private_key
from cryptography.x509.oid import NameOID
from django.conf import settings
from pyhanko.keys import load_certs_from_pemder_data, load_private_key_from_pemder_data
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter
from pyhanko.sign.general import SigningError
from pyhanko.sign.signers import PdfSignatureMetadata, SimpleSigner, sign_pdf
from pyhanko.sign.validation import SignatureCoverageLevel, ValidationContext, validate_pdf_signature
from pyhanko.sign.validation.errors import SignatureValidationError
from pyhanko_certvalidator.registry import SimpleCertificateStore

log = logging.getLogger(__name__)
FIELD, MD = "Seal", "sha256"
YEARS_GOOD, YEAR = 10, timedelta(days=365)
OTHERS = stat.S_IRWXG | stat.S_IRWXO
# a file from elsewhere may hold anything in any of its parts
UNREADABLE = (
    *(PdfError, SigningError, SignatureValidationError, zlib.error, NotImplementedError),
    *(ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError, RecursionError),
)


class Unusable(Exception):
    """There is a file for the seal, but nothing can be sealed with it; the words say why."""


@dataclass(frozen=True, slots=True)
class Seal:
    """`name` is what the certificate calls its holder, `fingerprint` the certificate's SHA-256."""

    name: str
    fingerprint: str
    signer: SimpleSigner


@dataclass(frozen=True, slots=True)
class Found:
    """The seal of a file. `intact`: what it was set upon is unaltered; `whole`: nothing stands in the file beside that."""

    fingerprint: str
    intact: bool
    whole: bool


# the file


def own_seal(at: datetime) -> Seal | None:
    """The seal to set at the instant; None where no file is there. Raises Unusable."""
    path = Path(settings.SEAL_FILE)
    if not path.is_file():
        return None
    if path.stat().st_mode & OTHERS:
        raise Unusable(f"others on this machine may read {path}: chmod 600")
    try:
        return _read(path.read_bytes(), at)
    except (OSError, ValueError, TypeError) as trouble:
        raise Unusable(f"{path} does not hold a key without a passphrase and its certificate, in PEM: {trouble}") from trouble


def _read(pem: bytes, at: datetime) -> Seal:
    key, (own, *others) = load_pem_private_key(pem, None), x509.load_pem_x509_certificates(pem)
    if not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey):
        raise Unusable("the seal's key is neither RSA nor on an elliptic curve of NIST's: few readers could check it")
    if key.public_key() != own.public_key():
        raise Unusable("the first certificate of the seal is not that of its key")
    if not own.not_valid_before_utc <= at < own.not_valid_after_utc:
        raise Unusable(f"the certificate of the seal is good from {own.not_valid_before_utc:%Y-%m-%d} to {own.not_valid_after_utc:%Y-%m-%d} only")
    signer = SimpleSigner(
        next(iter(load_certs_from_pemder_data(own.public_bytes(Encoding.DER)))),
        load_private_key_from_pemder_data(key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption()), None),
        SimpleCertificateStore.from_certs([found for one in others for found in load_certs_from_pemder_data(one.public_bytes(Encoding.DER))]),
    )
    named = own.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return Seal(str(named[0].value) if named else own.subject.rfc4514_string(), own.fingerprint(hashes.SHA256()).hex(), signer)


def make_seal(name: str, at: datetime) -> Path:
    """A new key and its own certificate for a firm of that name, in the file that the settings name, which its owner alone reads.

    Raises FileExistsError and other OSErrors, and ValueError for a name that a certificate cannot hold.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    holder = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    usage = dict.fromkeys(("key_encipherment", "data_encipherment", "key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only"), False)
    made = (
        x509.CertificateBuilder()
        .subject_name(holder)
        .issuer_name(holder)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - timedelta(minutes=5))  # clocks differ
        .not_valid_after(at + YEARS_GOOD * YEAR)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.KeyUsage(digital_signature=True, content_commitment=True, **usage), critical=True)
        .sign(key, hashes.SHA256())
    )
    path = Path(settings.SEAL_FILE)
    with open(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
        file.write(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()) + made.public_bytes(Encoding.PEM))
    return path


def first_seal(firm: str, at: datetime) -> None:
    """A seal for the firm whose records are set up, unless one is there or nobody named the firm.

    One that cannot be made hinders nobody: papers then say that they are not sealed.
    """
    if not firm or Path(settings.SEAL_FILE).exists():
        return
    try:
        make_seal(firm, at)
    except (OSError, ValueError) as trouble:
        log.warning("no seal was made at the set-up: %s", trouble)


# the signature


def sealed(pdf: bytes, seal: Seal) -> bytes:
    """The PDF, and the seal behind it."""
    asked = PdfSignatureMetadata(
        field_name=FIELD, md_algorithm=MD, subfilter=SigSeedSubFilter.PADES, certify=True, docmdp_permissions=MDPPerm.NO_CHANGES, name=seal.name
    )
    out = BytesIO()
    sign_pdf(IncrementalPdfFileWriter(BytesIO(pdf)), asked, seal.signer, output=out)
    return out.getvalue()


def seal_in(data: bytes) -> Found | None:
    """The seal of a file, which may hold anything; None where none can be read in it. Whose the certificate is, its fingerprint tells; nothing is fetched."""
    try:
        seals = PdfFileReader(BytesIO(data), strict=False).embedded_signatures
        if not seals:
            return None
        one = seals[0]
        told = validate_pdf_signature(one, ValidationContext(trust_roots=[one.signer_cert], allow_fetching=False))
        whole = len(seals) == 1 and told.coverage == SignatureCoverageLevel.ENTIRE_FILE
        return Found(sha256(one.signer_cert.dump()).hexdigest(), told.intact and told.valid, whole)
    except UNREADABLE:
        return None
