"""The chain of entries as plain data: canonical JSON (RFC 8785), SHA-256 links, and the walk that finds the first entry that fails.

Text is taken as it stands: nothing is normalised here.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256
from json.encoder import encode_basestring
from math import isfinite
from typing import Any, NamedTuple

GENESIS = "0" * 64  # what the first entry links to: 32 zero bytes
LARGEST_INT = 2**53 - 1  # above this, readers of JSON no longer agree
LONGEST_PLAIN = 21  # digits before ECMAScript turns to an exponent


class NotCanonical(ValueError):
    """The value, or the text, has no RFC 8785 form."""


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts: the person's identifier and printed name. Without an identifier it is not a person but a door."""

    id: str
    name: str


COMMAND_LINE = Actor("", "command line")


class Link(NamedTuple):
    """A stored entry, column by column. Instants and days are text, `prev` and `hash` hex."""

    seq: int
    act: str
    actor_id: str
    actor_name: str
    kind: str
    subject_id: str
    label: str
    happened: str
    recorded_at: datetime
    why: str
    body: str
    prev: str
    hash: str


class Break(NamedTuple):
    """The first entry that fails, and why."""

    seq: int
    why: str


class Walked(NamedTuple):
    """How far the chain holds: its sound entries, the last one's hash, and the break, if there is one."""

    length: int
    head: str
    broken: Break | None


def canonical(value: Any) -> str:
    """RFC 8785 text of strings, booleans, None, numbers, lists and dicts with string keys.

    Raises NotCanonical for anything else: whole numbers from 2**53 on, infinities, half a surrogate pair.
    """
    text = _written(value)
    try:
        text.encode()
    except UnicodeEncodeError as lone:
        raise NotCanonical(f"half a surrogate pair in {text[max(lone.start - 20, 0) : lone.start]!r}…") from lone
    return text


def _written(value: Any) -> str:
    if isinstance(value, str):
        return encode_basestring(value)
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, dict):
        return "{" + ",".join(f"{encode_basestring(key)}:{_written(value[key])}" for key in sorted(value, key=_utf16)) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(map(_written, value)) + "]"
    raise NotCanonical(f"{value!r} is a {type(value).__name__}: say it in text")


def _utf16(key: Any) -> bytes:
    if not isinstance(key, str):
        raise NotCanonical(f"the key {key!r} is not text")
    return key.encode("utf-16-be", "surrogatepass")


def _number(value: int | float) -> str:
    if isinstance(value, float):
        return _ecmascript(value)
    if abs(value) > LARGEST_INT:
        raise NotCanonical(f"{value} is beyond 2**53: say it in text")
    return int.__repr__(value)


def _ecmascript(value: float) -> str:
    """As ECMAScript's Number::toString writes it (ECMA-262, 6.1.6.1.20): the shortest digits that read back the same."""
    if not isfinite(value):
        raise NotCanonical(f"{value} is no number")
    if value == 0:
        return "0"
    sign, figures, exponent = Decimal(repr(value)).as_tuple()
    digits = "".join(map(str, figures))
    point = len(digits) + int(exponent)
    return "-" * sign + _placed(digits.rstrip("0"), point)


def _placed(digits: str, point: int) -> str:
    if len(digits) <= point <= LONGEST_PLAIN:
        return digits.ljust(point, "0")
    if 0 < point <= LONGEST_PLAIN:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"0.{'0' * -point}{digits}"
    fraction = f".{digits[1:]}" if digits[1:] else ""
    return f"{digits[0]}{fraction}e{point - 1:+d}"


def parse(text: str) -> Any:
    """Read JSON so that `canonical` can write it again. Raises NotCanonical where it is none."""
    try:
        return json.loads(text, parse_int=_whole)
    except (ValueError, RecursionError) as trouble:
        raise NotCanonical(f"not JSON: {trouble}") from trouble


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= LONGEST_PLAIN and abs(int(digits)) <= LARGEST_INT else float(digits)


def digest(text: str) -> str:
    """SHA-256 of the text in UTF-8, in hex."""
    return sha256(text.encode()).hexdigest()


def link(prev: str, body: str) -> str:
    """SHA-256(prev's 32 bytes ‖ body in UTF-8), in hex."""
    return sha256(bytes.fromhex(prev) + body.encode()).hexdigest()


def instant(at: datetime) -> str:
    """An instant in UTC as text. Raises NotCanonical for one without a zone."""
    if at.tzinfo is None:
        raise NotCanonical(f"{at} has no zone")
    return at.astimezone(UTC).isoformat()


def moment(happened: date | datetime) -> str:
    """When a thing happened: a site day as it stands, an instant in UTC."""
    return instant(happened) if isinstance(happened, datetime) else happened.isoformat()


def body_of(columns: Link, before: Any, after: Any) -> str:
    """What is hashed: everything an entry says."""
    return canonical(
        {
            "seq": columns.seq,
            "act": columns.act,
            "by": {"id": columns.actor_id, "name": columns.actor_name},
            "kind": columns.kind,
            "id": columns.subject_id,
            "label": columns.label,
            "happened": columns.happened,
            "recorded": instant(columns.recorded_at),
            "before": before,
            "after": after,
            "why": columns.why,
        }
    )


def forged(columns: Link, before: Any, after: Any) -> Link:
    """The link with its body and hash filled in, from its columns and `prev`."""
    body = body_of(columns, before, after)
    return columns._replace(body=body, hash=link(columns.prev, body))


def walk(links: Iterable[Link]) -> Walked:
    """Follow the chain from its first entry, one link in memory at a time, to its end or to the first entry that fails."""
    length, head = 0, GENESIS
    for one in links:
        if why := _fault(one, length + 1, head):
            return Walked(length, head, Break(one.seq, why))
        length, head = length + 1, one.hash
    return Walked(length, head, None)


def _fault(one: Link, seq: int, prev: str) -> str:
    if one.seq != seq:
        return f"entry {seq} is missing"
    if one.prev != prev:
        return "it does not link to the entry before it"
    if one.hash != link(prev, one.body):
        return "its body is not the one that was hashed"
    return _body_fault(one)


def _body_fault(one: Link) -> str:
    try:
        said = parse(one.body)
        if canonical(said) != one.body:
            return "its body is not canonical JSON"
        if body_of(one, said["before"], said["after"]) != one.body:
            return "its columns differ from its body"
    except (NotCanonical, KeyError, TypeError, RecursionError) as trouble:
        return f"its body cannot be read: {trouble}"
    return ""
