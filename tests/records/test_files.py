"""Files kept with records: what is taken, where it lies, who may see it, and what `verify` says of it."""

import io

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from records import clock
from records.files.actions import keep, strike
from records.files.facts import faults, of
from records.files.forms import whole
from records.files.models import Attachment
from records.files.rules.media import LARGEST, fault, tidy
from records.files.store import place
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.chain import Actor
from records.ledger.models import Entry
from tests import cast

BY = Actor("P-SAF", "Sal Fennick")
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\nstartxref\n9\n%%EOF\n"


def upload(content=PDF, name="certificate.pdf"):
    return SimpleUploadedFile(name, content)


def picture(form="PNG", size=(4, 4)):
    out = io.BytesIO()
    Image.new("RGB", size).save(out, form)
    return out.getvalue()


@pytest.fixture
def folder(tmp_path, settings):
    settings.FILES_FOLDER = str(tmp_path / "files")
    return tmp_path / "files"


@pytest.fixture
def kept(db, folder, monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: cast.AT)
    cast.everything()
    return attach()


def attach(content=PDF, name="certificate.pdf", subject="A-OPE"):
    with errand(BY, cast.AT) as underway:
        return keep(underway, "award", subject, subject, "certificate", upload(content, name))


def client_of(person):
    client = Client()
    client.force_login(Person.objects.get(person=person))
    return client


@pytest.mark.parametrize("form, ending", [("PNG", "png"), ("JPEG", "jpg"), ("WEBP", "webp")])
def test_a_picture_of_each_kind_is_taken(form, ending):
    whole(upload(picture(form), f"plan.{ending.upper()}"))


@pytest.mark.parametrize(
    "content, name, says",
    [
        (b"", "a.pdf", "empty"),
        (b"<html><script>", "a.pdf", "none of"),
        (b"GIF89a" + b"\0" * 20, "a.png", "none of"),
        (PDF, "a.png", "does not end"),
        (PDF, "a.pdf.exe", "does not end"),
        (picture(), "a.html", "does not end"),
        (picture()[:40], "a.png", "cannot be read"),
        (b"\x89PNG\r\n\x1a\n<html>" + b"x" * 40, "a.png", "cannot be read"),
    ],
)
def test_what_is_not_what_it_says_is_refused_with_the_reason(content, name, says):
    with pytest.raises(ValidationError, match=says):
        whole(upload(content, name))


def test_a_file_that_is_too_large_is_refused():
    assert fault("a.pdf", LARGEST, PDF) == ""
    assert "at most 15 MB" in fault("a.pdf", LARGEST + 1, PDF)


def test_a_picture_of_monstrous_size_is_refused_unopened(monkeypatch):
    monkeypatch.setattr("records.files.forms.MOST_PIXELS", 15)
    with pytest.raises(ValidationError, match="4 × 4 points"):
        whole(upload(picture(), "a.png"))


@pytest.mark.parametrize(
    "name, tidied",
    [
        ("../../etc/plan.pdf", "plan.pdf"),
        ("C:\\plans\\plan.pdf", "plan.pdf"),
        ("pl\u202ean\r\n\0.pdf", "plan.pdf"),
        ('a"b<c>.pdf', "a_b_c_.pdf"),
        ("x" * 300 + ".pdf", "x" * 116 + ".pdf"),
    ],
)
def test_a_name_is_made_safe(name, tidied):
    assert tidy(name) == tidied


def test_the_same_content_twice_is_one_file_that_only_its_owner_reads(kept, folder):
    other = attach(name="again.pdf")
    files = [one for one in folder.rglob("*") if one.is_file()]
    assert other.key != kept.key and len(files) == 1
    assert files[0].stat().st_mode & 0o777 == 0o600 and files[0].read_bytes() == PDF


def test_a_failed_errand_leaves_no_row_and_no_entry(kept):
    before = Entry.objects.count()
    with pytest.raises(RuntimeError), errand(BY, cast.AT) as underway:
        keep(underway, "award", "A-OPE", "A-OPE", "certificate", upload())
        raise RuntimeError
    assert Attachment.objects.count() == 1 and Entry.objects.count() == before


def test_a_struck_file_stays_with_its_reason(kept):
    strike(kept.key, "Another person's", BY, cast.AT)
    assert [(one.struck_because, one.struck_at) for one in of("award", "A-OPE")] == [("Another person's", cast.AT)]
    assert list(faults()) == []


def test_its_own_person_gets_the_file_to_keep_and_not_to_run(kept):
    answer = client_of("P-OPE").get(f"/files/{kept.key}/")
    assert answer.status_code == 200 and b"".join(answer.streaming_content) == PDF
    assert answer["Content-Disposition"] == 'attachment; filename="certificate.pdf"'
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert (answer["Content-Type"], answer["X-Content-Type-Options"], answer["Cache-Control"]) == ("application/pdf", "nosniff", "private, no-store")


def test_a_file_of_somebody_elses_award_is_not_there(kept):
    other = attach(subject="A-CR2")
    assert client_of("P-OPE").get(f"/files/{other.key}/").status_code == 404
    assert Client().get(f"/files/{kept.key}/").status_code == 302


def test_an_altered_or_missing_file_is_never_given(kept):
    place(kept.sha256).write_bytes(PDF + b" ")
    assert client_of("P-OPE").get(f"/files/{kept.key}/").status_code == 410
    assert ["not what it was" in one for one in faults()] == [True]
    place(kept.sha256).unlink()
    assert client_of("P-OPE").get(f"/files/{kept.key}/").status_code == 410
    assert ["is gone" in one for one in faults()] == [True]


def test_a_row_without_entry_and_an_entry_without_row_are_told(kept):
    Attachment.objects.filter(key=kept.key).update(key="slipped-in")
    assert [one.split(" (")[0] for one in faults()] == ["file slipped-in", f"the history tells of file {kept.key}, which is not on record"]


def test_a_kept_file_has_its_name_on_disk_too(kept, folder, monkeypatch):
    settled = []
    monkeypatch.setattr("records.files.store._settle", settled.append)
    other = attach(content=PDF.replace(b"<<>>", b"<</A 1>>"), name="other.pdf")
    assert settled == [place(other.sha256).parent, folder]


def test_what_verify_finds_does_not_hang_on_how_many_it_looks_at_together(kept, monkeypatch):
    monkeypatch.setattr("records.files.facts.CHUNK", 2)
    others = [attach(name=f"{number}.pdf", subject="A-CR1") for number in range(5)]
    assert list(faults()) == []
    Attachment.objects.filter(key=others[2].key).update(key="slipped-in", sha256="0" * 64)
    assert sorted(one.split(" (")[0] for one in faults()) == ["file slipped-in", f"the history tells of file {others[2].key}, which is not on record"]


def test_verify_holds_a_batch_of_files_in_memory_and_asks_per_batch(kept, monkeypatch, django_assert_max_num_queries):
    monkeypatch.setattr("records.files.facts.CHUNK", 10)
    for number in range(39):
        attach(name=f"{number}.pdf", subject=f"A-{number}")
    with django_assert_max_num_queries(12):
        assert list(faults()) == []
