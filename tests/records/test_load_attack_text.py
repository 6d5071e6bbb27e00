"""The text of a register as programs write it: line ends, quotes, empty lines, byte-order marks; and how rows are counted in it."""

import pytest

from tests.register import loaded, places, register

pytestmark = pytest.mark.django_db

HEAD = "person,name,email,employer,roles,left_on"
REST = "P2,Bo Lind,,,operator,\r\nP3,Cy Moss,,,,\r\nP4,Di Vance,,,,2027-03-31\r\n"
WHOLE = f"{HEAD}\r\nP1,Ana Orr,,,operator,\r\n{REST}"


def people(text):
    return text if isinstance(text, bytes) else text.encode()


def beside(folder, text):
    """The small register with this text for its people."""
    tables = register()
    del tables["people"]
    folder.mkdir()
    (folder / "people.csv").write_bytes(people(text))
    return loaded(folder, tables)


def first(row):
    return f"{HEAD}\r\n{row}\r\n{REST}"


READ = {
    "a byte-order mark": "\ufeff" + WHOLE,
    "a byte-order mark before a quote": '\ufeff"person"' + WHOLE.removeprefix("person"),
    "line feeds alone": WHOLE.replace("\r\n", "\n"),
    "carriage returns alone": WHOLE.replace("\r\n", "\r"),
    "no end to the last line": WHOLE.rstrip(),
    "empty lines between and after": WHOLE.replace("\r\n", "\r\n\r\n"),
    "lines of blanks": WHOLE.replace("\r\n", "\r\n \t\r\n", 2),
    "quoted names of columns": WHOLE.replace(HEAD, '"person","name","email","employer","roles","left_on"'),
    "blanks about names of columns": WHOLE.replace("person,name", "\u00a0person , name\u3000"),
    "all cells quoted": first('"P1","Ana ""Q"" Orr","a,b","","operator",""'),
    "a line break in a cell": first('P1,"Ana\r\nOrr",,,operator,'),
    "a carriage return in a quoted cell": first('P1,"Ana\rOrr",,,operator,'),
    "single quotes": first("P1,'Ana Orr',,,operator,"),
    "a line break about an identifier": first('"P1\n",Ana,,,operator,'),
    "a column fewer that is not owed": "person,name\nP1,Ana\nP2,Bo\nP3,Cy\nP4,Di\n",
}

NOT_READ = {
    "text after a quote": (first('P1,"Ana" Orr,,,operator,'), [(2, "name")]),
    "a blank before a quote": (first('P1, "Ana Orr",,,operator,'), [(2, "name")]),
    "a blank after a quote": (first('P1,"Ana Orr" ,,,operator,'), [(2, "name")]),
    "a quote in a cell": (first('P1,Ana" Orr,,,operator,'), [(2, "name")]),
    "a quote that nobody closes": (first('P1,"Ana Orr,,,operator,'), [(2, "name")]),
    "semicolons for commas": (first("P1;Ana Orr;;;operator;"), [(2, "")]),
    "a cell too few": (first("P1,Ana Orr,,,operator"), [(2, "")]),
    "a cell too many": (first("P1,Ana Orr,,,operator,,"), [(2, "")]),
    "a bare carriage return in a cell": (first("P1,Ana\rOrr,,,operator,"), [(2, ""), (3, "")]),
    "bytes of a surrogate": (WHOLE.encode().replace(b"Ana", b"\xed\xa0\x80"), [(2, "name")]),
    "an overlong byte": (WHOLE.encode().replace(b"Ana", b"\xc0\xaf"), [(2, "name")]),
    "Latin-1": (WHOLE.replace("Ana", "An\u00e9").encode("latin-1"), [(2, "name")]),
    "a row after empty lines": (WHOLE.replace("\r\nP2", "\r\n\r\n\r\nP2").replace("Lind,,,operator", "Lind,,,boss"), [(5, "roles")]),
    "a row after a line break in a cell": (first('P1,"Ana\r\n\r\nOrr",,,operator,').replace("Lind,,,operator", "Lind,,,boss"), [(3, "roles")]),
    "a second row of one identifier, bad too": (WHOLE + "P1,Ana,,,boss,\r\n", [(6, "person"), (6, "roles")]),
}


@pytest.mark.parametrize("what", READ)
def test_it_is_read(tmp_path, what):
    done = beside(tmp_path / "folder", READ[what])
    assert (places(done), done.written.get("people.csv")) == ([], 4)


@pytest.mark.parametrize("what", NOT_READ)
def test_it_is_not_read_and_nothing_else_is_said(tmp_path, what):
    text, expected = NOT_READ[what]
    assert places(beside(tmp_path / "folder", text)) == [("people.csv", *place) for place in expected]
