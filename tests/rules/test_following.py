"""A permit that follows another, and permits upon the same ground."""

from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from shapely import box

from locates.permits.rules.evidence import After, Before, Beside
from locates.permits.rules.following import changes, following_wrongs
from tests.rules.cast import AUCKLAND, clear, instant
from tests.rules.changes import Change
from tests.rules.table import Row, block, caution, found, judged, wanted

open_ = block("follows.still_open", "permit:D-0")
replaced = block("follows.replaced", "permit:D-2")
shares = caution("follows.shares_ground", "permit:D-7")

LONG_AGO, EARLIER, NOW = "2027-02-20T08:00", "2027-03-04T08:00", "2027-03-04T09:00"


def following(ends: str = "2027-03-05T17:00", **times: str) -> Change:
    """The permit follows D-0, which ran to this end."""

    def change(all_: Any) -> Any:
        zone = all_.site.zone
        old = replace(all_.permit, permit="D-0", valid_to=instant(ends, zone))
        return replace(all_, follows=Before(old, **{name: instant(at, zone) for name, at in times.items()}, why="it goes deeper", changed="the depth"))

    return change


def followed(issued_at: str) -> Change:
    return lambda all_: replace(all_, followers=(After("D-2", instant(issued_at, all_.site.zone)),))


def beside(outline: Any = None, issued_at: str = EARLIER, begins: str = "2027-03-04T07:00", ends: str = "2027-03-05T17:00") -> Change:
    """D-7, issued and not ended, upon this ground or upon the same."""

    def change(all_: Any) -> Any:
        times = (instant(at, all_.site.zone) for at in (issued_at, begins, ends))
        return replace(all_, beside=(*all_.beside, Beside("D-7", outline or all_.permit.outline, *times)))

    return change


def strip(width: str) -> Any:
    """So much of the ground, one metre long, at the outline's west side; the rest of it lies outside."""
    left, bottom, _, _ = clear(AUCKLAND).permit.outline.bounds
    return box(left - 1, bottom, left + float(width), bottom + 1)


SIGNED = {"issued_at": LONG_AGO, "accepted_at": LONG_AGO}
ROWS = [
    open_.fails(following(**SIGNED)),
    open_.passes(following(**SIGNED, over_at=EARLIER)),
    open_.passes(following(**SIGNED, over_at=NOW)),
    open_.fails(following(**SIGNED, over_at="2027-03-04T09:00:01")),
    # out of time it is open still: nobody has said how the ground was left
    open_.fails(following(ends=NOW, **SIGNED), since=NOW),
    open_.passes(following(ends=NOW, **SIGNED, over_at=EARLIER)),
    open_.fails(following(ends="2027-03-04T09:00:01", **SIGNED)),
    # issued and never accepted: over with its time
    open_.fails(following(issued_at=LONG_AGO)),
    open_.fails(following(ends="2027-03-04T09:00:01", issued_at=NOW)),
    open_.passes(following(ends=NOW, issued_at=LONG_AGO)),
    open_.passes(following(issued_at="2027-03-04T09:00:01")),
    open_.passes(following()),
    open_.passes(),
    replaced.fails(followed(NOW), since=NOW),
    replaced.passes(followed("2027-03-04T09:00:01")),
    replaced.passes(),
    shares.fails(beside()),
    shares.fails(beside(strip("0.0101"))),
    shares.passes(beside(strip("0.01"))),
    shares.passes(beside(strip("-0.5"))),
    shares.fails(beside(issued_at=NOW)),
    shares.passes(beside(issued_at="2027-03-04T09:00:01")),
    shares.fails(beside(ends="2027-03-04T09:00:01")),
    shares.passes(beside(ends=NOW)),
    # not at once: one ends before the other begins
    shares.passes(beside(begins="2027-03-06T17:00", ends="2027-03-07T17:00")),
    shares.fails(beside(begins="2027-03-06T16:59:59", ends="2027-03-07T17:00")),
    shares.passes(),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_what_follows_what_and_what_lies_upon_the_same_ground(row: Row) -> None:
    assert found(row) == wanted(row)


def test_ground_is_not_said_to_be_shared_with_a_permit_that_is_named() -> None:
    def named(all_: Any) -> Any:
        return replace(all_, follows=replace(all_.follows, permit=replace(all_.follows.permit, permit="D-7")))

    verdict = judged(beside(), following(**SIGNED, over_at=EARLIER), named)
    assert [one for one in verdict.cautions if one.code.startswith("follows.")] == []
    assert [one for one in judged(beside(), lambda all_: replace(all_, followers=(After("D-7", all_.permit.valid_to),))).cautions if "shares" in one.code] == []


def test_side_by_side_only_what_is_different_differs() -> None:
    new = clear(AUCKLAND).permit
    old = replace(new, depth_m=new.depth_m - Decimal("0.5"), method="vacuum", crew=new.crew[:1])
    assert [one.what for one in changes(old, new, clear(AUCKLAND).site.zone) if one.differs] == ["Depth", "Method", "Crew"]


def test_an_outline_of_the_same_size_and_place_but_another_shape_differs() -> None:
    new = clear(AUCKLAND).permit
    first, second = (box(0, 0, 2, 2).difference(box(*corner)) for corner in ((0, 0, 1, 1), (1, 1, 2, 2)))
    told = {one.what: one for one in changes(replace(new, outline=first), replace(new, outline=second), clear(AUCKLAND).site.zone)}
    assert told["Outline"].differs


@pytest.mark.parametrize(("old", "site", "told"), [("D-1", "S-1", "itself"), ("D-0", "S-2", "another site"), ("D-0", "S-1", "")])
def test_nothing_follows_itself_or_a_permit_of_another_site(old: str, site: str, told: str) -> None:
    new, old = SimpleNamespace(pk="D-1", site_id="S-1"), SimpleNamespace(pk=old, site_id=site)
    assert [told in one.says for one in following_wrongs(None, new, old)] == ([True] if told else [])
    assert list(following_wrongs(None, new, None)) == []
