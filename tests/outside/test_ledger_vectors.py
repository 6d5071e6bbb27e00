"""The history's hashes and its canonical JSON, held against published values and against another implementation."""

import hmac
import json
import struct
from hashlib import sha256

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from records.ledger.chain import GENESIS, LARGEST_INT, NotCanonical, canonical, digest, link, parse

# FIPS 180-4 (Secure Hash Standard), with NIST's example values for SHA-256: "abc" and the 448-bit message. The empty text
# and the million letters are from NIST's older examples (FIPS 180-2, appendix B.3, and the test vectors of its validation system).
SHA_256 = {
    "": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    "a" * 1_000_000: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
}

# RFC 8785, section 3.2.2: the sample and what it becomes in 3.2.4
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
SAMPLE_CANONICAL = r"""{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}"""

# RFC 8785, section 3.2.3: keys in the order of their UTF-16 code units
SORTED = r"""{
  "\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"
}"""

# The RFC authors' reference test data: values.json and weird.json. The texts were put together again from memory; the digests are those of the
# published outputs, so a wrong memory would show.
VALUES = SAMPLE.replace('"string"', '"escaping"').replace("[333333333.33333329, 1E30, 4.50,", "[1E30, 4.50, 333333333.33333329,")
WEIRD = r"""{
  "\u20ac": "Euro Sign", "1": "One", "\u0080": "Control\u007f", "\ud83d\ude02": "Smiley", "\u00f6": "Latin Small Letter O With Diaeresis",
  "\ufb33": "Hebrew Letter Dalet With Dagesh", "</script>": "Browser Challenge"
}"""

# RFC 8785, appendix B, from memory: the bits of a double, and how it is written
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-LARGEST_INT, LARGEST_INT) | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(max_size=5), inner, max_size=5),
    max_leaves=20,
)


@pytest.mark.parametrize("text", SHA_256, ids=["empty", "abc", "two blocks", "a million letters"])
def test_sha_256_gives_the_published_digests(text):
    assert digest(text) == SHA_256[text]


def test_the_hash_behind_it_gives_the_published_keyed_digest():
    """RFC 4231, test case 2."""
    keyed = hmac.new(b"Jefe", b"what do ya want for nothing?", sha256).hexdigest()
    assert keyed == "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"


def test_the_sample_of_rfc_8785_becomes_the_published_text():
    assert canonical(parse(SAMPLE)) == SAMPLE_CANONICAL


@pytest.mark.parametrize(
    ("text", "octets", "published"),
    [
        # computed from the RFC's text, not printed in it
        (SAMPLE, 118, "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb"),
        (SORTED, 180, "5e321556d22018a9656991a9e94f77ec175fa193e52a2429d312f8419ec8b08c"),
        # of the reference test data's published outputs
        (VALUES, 120, "0af3685dce30daa753153aadb1956b0f3133642fbe5d4a5e3a4267f94814ba87"),
        (WEIRD, 176, "92591c387de83f90a4f5a7b853081c9482ee5bf076e8e309366de6f215cfcbfb"),
    ],
    ids=["sample", "sorting", "values", "weird"],
)
def test_samples_have_the_published_length_and_digest(text, octets, published):
    written = canonical(parse(text))
    assert (len(written.encode()), digest(written)) == (octets, published)


def test_keys_are_sorted_by_utf_16_code_units_not_by_code_points():
    """RFC 8785, section 3.2.3: the emoji, a surrogate pair, comes before U+FB33."""
    assert list(json.loads(canonical(parse(SORTED))).values())[-2:] == ["Emoji: Grinning Face", "Hebrew Letter Dalet With Dagesh"]


@pytest.mark.parametrize("bits", NUMBERS)
def test_numbers_are_written_as_in_appendix_b(bits):
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(number) == NUMBERS[bits]


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_what_appendix_b_calls_an_error_is_one(bits):
    with pytest.raises(NotCanonical, match="no number"):
        canonical(struct.unpack(">d", bytes.fromhex(bits))[0])


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (1.0, "1"),
        (100.0, "100"),
        (1e20, "100000000000000000000"),
        (1e-7, "1e-7"),
        (2.5e-5, "0.000025"),
        (0.1 + 0.2, "0.30000000000000004"),
        (2**53 - 1, "9007199254740991"),
    ],
)
def test_numbers_are_written_as_ecmascript_would(number, written):
    """ECMA-262, Number::toString; the examples are our own choice."""
    assert canonical(number) == written


@given(JSON)
def test_another_implementation_writes_every_value_the_same(value):
    assert canonical(value).encode() == rfc8785.dumps(value)


@given(JSON)
def test_what_is_written_reads_back_and_is_written_the_same_again(value):
    assert canonical(parse(canonical(value))) == canonical(value)


def test_the_chain_gives_the_values_computed_for_it():
    """No published source: computed once, apart from this code, from SHA-256(previous ‖ canonical JSON) beginning with 32 zero bytes."""
    first = link(GENESIS, canonical({"type": "locate", "seq": 1}))
    assert first == "93a201072b8cb1d99c2033757d0508606a843d108b43e5f39835f8b6b2221f83"
    assert link(first, canonical({"type": "permit", "seq": 2})) == "04abe1935f60fa2c7a6d01dc28036af814946540d8db38853e2a994666262580"


def test_a_record_like_a_permit_has_the_digest_computed_for_it():
    """No published source: computed once, apart from this code."""
    record = {"permit": "PTD-0001", "depth_m": 0.6, "services": ["elec", "gas"], "expires": "2026-03-01", "ok": True, "note": "Café №5"}
    assert digest(canonical(record)) == "54942642fd888846c8a7b7e8d8d61cfec9c22736a328d0c190d346251daa5dac"
