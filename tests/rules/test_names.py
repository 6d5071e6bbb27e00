"""When a name is one that was asked for."""

import pytest

from records.rules.names import stands_in


@pytest.mark.parametrize(
    ("asked", "text", "stands"),
    [
        ("", "Anyone", True),
        ("hemi", "Hēmi Tāwhirirangi (P-05)", True),
        ("HĒMI", "Hemi", True),
        ("p-05 taw", "Hēmi Tāwhirirangi (P-05)", True),
        ("hemi p-06", "Hēmi Tāwhirirangi (P-05)", False),
        ("дрібно", "Олекса Дрібновід", True),
        ("홍", "홍길", True),
    ],
)
def test_every_word_asked_for_must_stand_in_it_whatever_its_case_and_marks(asked, text, stands):
    assert stands_in(asked, text) is stands
