"""Sheets that were signed before the words of today: their bytes stay, and they still print, word for word."""

import json
from hashlib import sha256
from pathlib import Path

from locates.permits.paper import bars_svg, permit_pdf, plan_svg
from locates.permits.sheet import digest, with_later
from locates.rules.depth import NO_PROOF
from records.ledger.chain import canonical
from tests.locates.printing import words
from tests.rules.changes import without_locate
from tests.rules.table import judged

KEPT = (Path(__file__).parent / "signed" / "sheet_before_proof_was_spoken_of.json").read_text()
DIGEST = "a586e0ac55c3eed258f2a5331867423defa1b16f51478defae38e897cb897eb8"
OLD = json.loads(KEPT)


def test_its_digest_is_what_was_signed():
    assert sha256(KEPT.encode()).hexdigest() == digest(OLD) == DIGEST
    assert canonical(OLD) == KEPT


def test_it_prints_in_the_words_in_which_it_was_signed():
    found = words(permit_pdf(OLD))
    assert "E1 electricity, quality level B, 1 m indicated (trace T-2, induction)" in found
    assert DIGEST in found
    assert "SIGNED, from" in found
    assert NO_PROOF not in found


def test_its_plan_and_bars_are_drawn():
    assert "1 m indicated" in plan_svg(OLD)
    assert bars_svg(OLD).startswith("<svg")


def test_later_facts_stand_beside_it():
    assert "no longer good since it was signed" in words(permit_pdf(with_later(OLD, judged(without_locate()))))
