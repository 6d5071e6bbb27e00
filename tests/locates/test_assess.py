"""`manage.py assess`: which permits, at which instant, as text and as JSON, with which exit status."""

import io
import json

import pytest
from django.core.management import call_command

from tests import cast

pytestmark = pytest.mark.django_db
AT = "2027-03-04T08:30+13:00"


def assessed(*words):
    """The exit status, what was printed and what was complained of."""
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as left:
        call_command("assess", *words, stdout=out, stderr=err)
    return left.value.code, out.getvalue(), err.getvalue()


def test_a_clear_permit_exits_with_0_and_says_until_when():
    cast.everything()
    status, out, _ = assessed("PD-1", "--at", AT)
    assert status == 0
    assert out.startswith("PD-1: no block; good until 11 Mar 2027 07:30 UTC+13:00 (permit)")


def test_one_blocked_permit_among_clear_ones_exits_with_1_and_says_why():
    cast.everything()
    cast.permit("PD-2", issuer_id="P-FAR")
    status, out, _ = assessed("--at", AT)
    assert status == 1
    assert "PD-2: NOT TO DIG" in out
    assert "issuer.never  person:P-FAR/issue_permit" in out


def test_json_is_a_list_sorted_by_permit_with_the_sites_own_offset():
    cast.everything()
    cast.permit("PD-02")
    status, out, _ = assessed("--at", "2027-03-03T19:30Z", "--json")
    told = json.loads(out)
    assert [one["permit"] for one in told] == ["PD-02", "PD-1"]
    assert {one["at"] for one in told} == {"2027-03-04T08:30:00+13:00"}
    assert status == 0


def test_no_permit_at_all_is_an_empty_list_and_no_fault():
    assert assessed("--json")[:2] == (0, "[]\n")


def test_a_permit_and_a_site_must_both_hold():
    cast.everything()
    cast.Site.objects.create(site="S-2", name="Elsewhere", time_zone="Etc/UTC", rule_set_id="default", recorded_at=cast.AT)
    assert assessed("PD-1", "--site", "S-2", "--json")[:2] == (0, "[]\n")


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["PD-9"], "there is no permit PD-9"),
        (["--site", "S-9"], "there is no site S-9"),
        (["--at", "2027-03-04T08:30"], "has no offset"),
        (["--at", "tomorrow"], "is not an instant"),
    ],
)
def test_a_wrong_call_exits_with_2_and_says_what_is_wrong(words, complaint):
    cast.everything()
    status, out, err = assessed(*words)
    assert (status, out) == (2, "")
    assert complaint in err
