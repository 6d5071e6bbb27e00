"""What makes a number in force wrong."""

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from records.rules.numbers import EVERY_NUMBER, VALUE_WORDS, Number
from records.rules.text import shown
from records.rules.words import DEFAULT_RULE_SET
from records.rules.wrong import Wrong, not_before

WHOLE = re.compile(r"[0-9]+", re.ASCII)


def rule_wrongs(rule: Any) -> Iterator[Wrong]:
    """The faults of a row of a rule set."""
    if rule.rule_set_id == DEFAULT_RULE_SET:
        yield Wrong("rule_set", f"{DEFAULT_RULE_SET} is reserved and takes no rows: a name of the firm's own was expected")
    number = EVERY_NUMBER.get(rule.key)
    if number and rule.value and (fault := value_fault(number, rule.value)):
        yield Wrong("value", fault, ("key",))


def posting_wrongs(posting: Any) -> Iterator[Wrong]:
    """The fault of a posting. Whether the person has the role is looked at when it counts: roles come and go."""
    yield from not_before(posting, "ends_on", "begins_on")


def value_fault(number: Number, value: str) -> str:
    """Why the key cannot have the value; nothing where it can."""
    if number.words:
        return "" if value in number.words else f"{shown(value)} is not known here: one of {', '.join(number.words)} was expected for {number.key}"
    if number.yes_or_no:
        return "" if value in ("yes", "no") else f"{shown(value)} is neither: yes or no was expected for {number.key}"
    if number.whole and not WHOLE.fullmatch(value):
        return f"{shown(value)} is not a whole number: one from {number.low} to {number.high} was expected for {number.key}"
    if value in VALUE_WORDS or not number.low <= Decimal(value) <= number.high:
        return f"{shown(value)} is out of bounds: a number from {number.low} to {number.high} was expected for {number.key}"
    return ""
