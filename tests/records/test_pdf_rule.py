"""Which PDFs are kept: whole ones that are not locked and run nothing, hidden or not; and none can keep the server busy."""

import zlib
from io import BytesIO
from time import process_time

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader, PdfWriter
from reportlab.pdfgen.canvas import Canvas

from records.files.forms import whole
from records.files.rules import pdf
from records.files.rules.media import LARGEST

END = b"\nstartxref\n9\n%%EOF\n"


def written(change=None, **options):
    """A page as one library draws it and another writes it."""
    drawn = BytesIO()
    canvas = Canvas(drawn, **options)
    canvas.drawString(100, 100, "Certificate 44")
    canvas.save()
    if change is None:
        return drawn.getvalue()
    writer, out = PdfWriter(clone_from=PdfReader(drawn)), BytesIO()
    change(writer)
    writer.write(out)
    return out.getvalue()


def objects(text, head=b"/Filter /FlateDecode", packed=zlib.compress):
    """A file whose objects are folded into an object stream."""
    return b"%PDF-1.7\n5 0 obj\n<</Type /ObjStm " + head + b">>\nstream\n" + packed(text) + b"\nendstream\nendobj" + END


@pytest.mark.parametrize("content", [written(), written(lambda _: None), objects(b"<</Type /Page>>"), objects(b"<</S /GoTo>>", b"", bytes)])
def test_a_plain_document_is_kept(content):
    assert pdf.fault(content) == ""


@pytest.mark.parametrize("content", [written()[:-40], b"%PDF-1.7\n", b"%PDF-1.7\nstartxref\n9999\n%%EOF", written() + b" " * 4000])
def test_one_that_is_cut_off_is_refused(content):
    assert pdf.fault(content) == pdf.DAMAGED


def test_one_that_is_locked_is_refused():
    assert pdf.fault(written(lambda writer: writer.encrypt("spade"))) == pdf.IS_LOCKED


@pytest.mark.parametrize(
    "content",
    [
        written().replace(b"/Type /Catalog", b"/OpenAction <</S /JavaScript /JS (1)>> /Type /Catalog"),
        b"%PDF-1.7\n<</S/JavaScript/JS(1)>>" + END,
        b"%PDF-1.7\n<</S /J#61va#53cript>>" + END,
        b"%PDF-1.7\n<</S /Launch /F (a.exe)>>" + END,
        objects(b"<</S /JavaScript>>"),
        b"%PDF-1.7\n<</S /JavaScript>> % " + objects(b"<<>>"),
        b"% stream\n" + objects(b"<</S /JavaScript>>"),
    ],
)
def test_one_that_runs_something_is_refused_wherever_that_stands(content):
    assert pdf.fault(content) == pdf.RUNS


@pytest.mark.parametrize("name", [b"/JavaScripted", b"(JavaScript)", b"/EncryptMetadata"])
def test_words_that_only_look_alike_are_no_reason(name):
    assert pdf.fault(b"%PDF-1.7\n<<" + name + b" true>>" + END) == ""


@pytest.mark.parametrize(
    "content",
    [
        objects(b"<<>>", packed=bytes),
        objects(b"<<>>", b"/Filter [/ASCIIHexDecode /FlateDecode]", packed=lambda text: zlib.compress(text).hex().encode()),
        objects(b"<<>>", b"/Filter /FlateDecode /DecodeParms <</Predictor 12>>"),
        objects(b"<<>>", packed=lambda text: zlib.compress(text) + b" stream\n" + zlib.compress(b"/JavaScript")),
        objects(b"<<>>").replace(b"endstream", b""),
    ],
)
def test_objects_that_cannot_be_looked_into_are_a_reason(content):
    assert pdf.fault(content) == pdf.PACKED


def test_a_file_that_unfolds_without_end_is_refused_before_it_fills_the_memory():
    assert pdf.fault(objects(b"\0" * (pdf.MOST_UNFOLDED + 1))) == pdf.PACKED


@pytest.mark.parametrize("unit", [b"/ObjStm /Filter stream\n" + zlib.compress(b""), b"/ObjStm stream\n", b"stream\nendstream ", b"#41", b"obj ", b"/Encryp"])
def test_nothing_in_a_large_file_keeps_the_server_busy(unit):
    begun = process_time()
    pdf.fault((b"%PDF-1.7\n" + unit * (LARGEST // len(unit)))[: LARGEST - len(END)] + END)
    assert process_time() - begun < 5


def test_the_form_says_why():
    with pytest.raises(ValidationError, match="holds a script"):
        whole(SimpleUploadedFile("plan.pdf", b"%PDF-1.7\n<</S/JavaScript>>" + END))
