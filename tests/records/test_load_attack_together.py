"""Changes of several records in one folder: what counts is how they stand when all of it is read."""

import pytest

from tests.register import loaded, places, register, row

pytestmark = pytest.mark.django_db

ASKED = {"site": "S2", "service_owner": "Ridge Gas", "sent_on": "2027-01-05"}
START = {
    "enquiries": {
        "Q1": ASKED | {"answered_at": "2027-01-06T00:00Z"},
        "Q2": ASKED | {"answered_at": "2027-01-08T00:00Z"},
        "Q3": ASKED | {"replaces": "Q4"},
        "Q4": ASKED | {"replaces": "Q5"},
        "Q5": ASKED,
    },
    "plan_services": {
        "Z1": {"enquiry": "Q1", "utility": "gas", "conductive": "no"},
        "Z2": {"enquiry": "Q2", "utility": "gas", "conductive": "no", "same_as": "Z1"},
    },
}
KEYS = {"enquiries": "enquiry", "plan_services": "service", "instruments": "instrument", "locates": "locate", "traces": "trace", "sites": "site"}


def stored(folder):
    """The small register, with five more enquiries and two services of one owner."""
    tables = register()
    for name, some in START.items():
        blank = dict.fromkeys(tables[name][0], "")
        tables[name] += [blank | {KEYS[name]: id} | cells for id, cells in some.items()]
    tables["outcomes"].remove(row(tables, "outcomes", "L2/V1"))
    assert places(loaded(folder, tables)) == []


def folder_of(changes):
    """Files that hold only what is changed; each row has the columns of all of its file."""
    tables = {}
    for name, some in changes.items():
        names = list(dict.fromkeys(column for cells in some.values() for column in cells))
        assert all(list(cells) == names for cells in some.values())
        tables[name] = [{KEYS[name]: id} | cells for id, cells in some.items()]
    return tables


FIT = {
    "both ends of a replacement move to another owner": {
        "enquiries": {id: {"service_owner": name} for id, name in (("Q3", "Hill"), ("Q4", "HILL "), ("Q5", "hill"))}
    },
    "all of a chain moves to another site": {"enquiries": {id: {"site": "S1"} for id in ("Q3", "Q4", "Q5")}},
    "a chain is turned about": {"enquiries": {"Q3": {"replaces": ""}, "Q4": {"replaces": "Q3"}, "Q5": {"replaces": "Q4"}}},
    "a link goes and its old end changes": {"enquiries": {"Q3": {"replaces": "", "service_owner": "Hill"}}},
    "two services that are the same change their utility": {"plan_services": {"Z1": {"utility": "oil"}, "Z2": {"utility": "oil"}}},
    "two services change places and the link is turned": {"plan_services": {"Z1": {"enquiry": "Q2", "same_as": "Z2"}, "Z2": {"enquiry": "Q1", "same_as": ""}}},
    "the last service leaves an answer that shows nothing": {
        "enquiries": {"Q2": {"nothing_shown": "yes"}},
        "plan_services": {"Z2": {"enquiry": "Q1", "same_as": ""}},
    },
    "an instrument and the locate that uses it": {"instruments": {"K1": {"kind": "sonde"}}, "locates": {"L2": {"clamp": "", "sonde": "K1"}}},
    "a locate and the service that its trace names": {"locates": {"L2": {"site": "S2"}}, "traces": {"X2": {"services": "Z1"}}},
}

MISFIT = {
    "one end moves to another owner": ({"enquiries": {"Q3": {"service_owner": "Hill"}}}, [("enquiries.csv", 2, "replaces")]),
    "the replaced one moves to another owner": ({"enquiries": {"Q5": {"service_owner": "Hill"}}}, [("enquiries.csv", 2, "service_owner")]),
    "the replaced one was sent later": ({"enquiries": {"Q5": {"sent_on": "2027-01-06"}}}, [("enquiries.csv", 2, "sent_on")]),
    "a ring is closed through what is stored": ({"enquiries": {"Q5": {"replaces": "Q3"}}}, [("enquiries.csv", 2, "replaces")]),
    "an enquiry replaces itself": ({"enquiries": {"Q5": {"replaces": "Q5"}}}, [("enquiries.csv", 2, "replaces")]),
    "one of the same services changes": ({"plan_services": {"Z1": {"utility": "oil"}}}, [("plan_services.csv", 2, "utility")]),
    "two services change places and the link stays": (
        {"plan_services": {"Z1": {"enquiry": "Q2"}, "Z2": {"enquiry": "Q1"}}},
        [("plan_services.csv", 3, "same_as")],
    ),
    "an answer with a service shows nothing": ({"enquiries": {"Q2": {"nothing_shown": "yes"}}}, [("enquiries.csv", 2, "nothing_shown")]),
    "an instrument that a locate uses": ({"instruments": {"K1": {"kind": "sonde"}}}, [("instruments.csv", 2, "kind")]),
    "a locate whose trace names a service": ({"locates": {"L2": {"site": "S2"}}}, [("locates.csv", 2, "site")]),
    "an answer to a closed enquiry": ({"enquiries": {"E4": {"answered_at": "2027-01-15T00:00Z"}}}, [("enquiries.csv", 2, "closed_on")]),
    "an answer and a closing at once": (
        {"enquiries": {"E3": {"answered_at": "2027-02-05T00:00Z", "closed_on": "2027-03-01", "closed_because": "x"}}},
        [("enquiries.csv", 2, "closed_on")],
    ),
}


@pytest.mark.parametrize("what", FIT)
def test_it_fits_when_all_is_read(tmp_path, what):
    stored(tmp_path / "first")
    done = loaded(tmp_path / "second", folder_of(FIT[what]))
    assert (places(done), set(done.written) == {f"{name}.csv" for name in FIT[what]}) == ([], True)


@pytest.mark.parametrize("what", MISFIT)
def test_it_does_not_fit_when_all_is_read(tmp_path, what):
    stored(tmp_path / "first")
    changes, expected = MISFIT[what]
    assert places(loaded(tmp_path / "second", folder_of(changes))) == expected


def test_what_is_in_two_batches_is_seen_as_one_file(tmp_path):
    tables = register()
    blank = dict.fromkeys(tables["enquiries"][0], "")
    chain = [blank | ASKED | {"enquiry": f"Z{n}", "sent_on": f"2027-01-{9 - n % 2:02}", "replaces": f"Z{n + 1200}" if n < 1200 else ""} for n in range(2400)]
    tables["enquiries"] += [*chain, chain[0]]
    assert places(loaded(tmp_path, tables)) == [("enquiries.csv", len(tables["enquiries"]) + 1, "enquiry")]
