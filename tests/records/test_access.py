"""Roles and how far each reaches."""

from types import SimpleNamespace

import pytest

from records.access import ALL, NONE, OWN, POSTED, REACH, WIDEST, reach
from records.rules.words import ROLES


def someone(*roles):
    return SimpleNamespace(roles=roles)


@pytest.mark.parametrize(
    ("roles", "permits", "registers"),
    [
        ((), OWN, NONE),
        (("operator",), OWN, NONE),
        (("supervisor",), POSTED, NONE),
        (("safety_manager",), ALL, ALL),
        (("operator", "supervisor"), POSTED, NONE),
        (("operator", "safety_manager", "supervisor"), ALL, ALL),
    ],
)
def test_somebody_of_several_roles_has_the_widest_reach_of_them(roles, permits, registers):
    assert (reach(someone(*roles), "permit.see"), reach(someone(*roles), "history.see")) == (permits, registers)


def test_a_role_that_is_not_known_reaches_nothing_more():
    assert reach(someone("owner", ""), "permit.see") == OWN


def test_an_act_that_is_not_listed_is_an_error_and_no_way_in():
    with pytest.raises(KeyError):
        reach(someone("safety_manager"), "permit.unlist")


def test_the_table_speaks_of_known_roles_and_reaches_only():
    assert {role for roles in REACH.values() for role in roles} <= {"", *ROLES}
    assert {one for roles in REACH.values() for one in roles.values()} <= set(WIDEST)
