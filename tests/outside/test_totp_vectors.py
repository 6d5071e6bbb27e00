"""Codes of a second factor against RFC 6238, appendix B (SHA-1; times and the eight digits of the table, from memory).

The table's codes have eight digits; six digits of the same value are its last six.
"""

from base64 import b32encode
from datetime import UTC, datetime

import pytest

from records.firm import factor

SECRET = b32encode(b"12345678901234567890").decode()
TABLE = {
    59: "94287082",
    1111111109: "07081804",
    1111111111: "14050471",
    1234567890: "89005924",
    2000000000: "69279037",
    20000000000: "65353130",
}


@pytest.fixture(autouse=True)
def published_secret(monkeypatch):
    monkeypatch.setattr(factor, "secret_of", lambda salt: SECRET)


@pytest.mark.parametrize(("seconds", "code"), TABLE.items())
def test_a_code_is_that_of_the_table(seconds, code):
    assert factor.step_of("", code[-6:], datetime.fromtimestamp(seconds, UTC)) == seconds // 30


@pytest.mark.parametrize("beside", [-60, 61])
def test_a_code_is_no_good_two_steps_away(beside):
    assert factor.step_of("", "005924", datetime.fromtimestamp(1234567890 + beside, UTC)) is None
