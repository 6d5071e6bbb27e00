"""Logs of an invented receiver: a walk over the ground that the cast's locate L-1 claims, which ran from 5 March 2027 07:30 to 10:30 at the site."""

from datetime import timedelta
from urllib.parse import parse_qs, urlsplit
from zoneinfo import ZoneInfo

from django.core.files.uploadedfile import SimpleUploadedFile

from tests import cast

BEGUN = cast.AT - timedelta(hours=25)
HEADER = "when;what;strength;east;north"
WORDS = {"P50": "passive_power", "R": "passive_radio", "IND": "induction", "-": ""}
WRITTEN = {"encoding": "utf-8", "delimiter": "semicolon", "above": "0", "decimal_comma": "yes"}
COLUMNS = {"time": "0", "time_form": "day_first", "zone": "site", "mode": "1", "reading": "2", "position": "site", "x": "3", "y": "4"}
EVERYWHERE = [(x + 0.5, y) for y in range(95, 108) for x in range(95, 115)]


def rows(modes=("P50", "R", "IND"), points=EVERYWHERE, begun=BEGUN, step=2):
    """One reading a point and mode, so many seconds apart."""
    at, zone = begun, ZoneInfo(cast.ZONE)
    for mode in modes:
        for number, (x, y) in enumerate(points):
            yield f"{at.astimezone(zone):%d/%m/%Y %H:%M:%S};{mode};{number % 90},5;{x};{y}".replace(".", ",")
            at += timedelta(seconds=step)


def text(*parts, header=HEADER):
    return "\n".join([header, *(line for part in parts or [rows()] for line in part)]) + "\n"


def upload(content, name="walk.csv", encoding="utf-8"):
    return SimpleUploadedFile(name, content.encode(encoding) if isinstance(content, str) else content)


def chosen(client, content, locate="L-1", **named):
    """Choose a file; gives the address of the step that follows."""
    answered = client.post(f"/logs/add/{locate}/", {"file": upload(content, **named)})
    assert answered.status_code == 302, answered.content.decode()
    return answered.headers["Location"]


def token(where):
    """The token of the file, of an address that bears it."""
    return parse_qs(urlsplit(where).query)["file"][0]


def meanings(page, name="yard receiver", words=WORDS):
    """The answers of the last step: what each word means that the page asks for, and the layout's name."""
    asked = {f"word_{number}": words[word] or "none" for number, word in enumerate(page.context["form"].words)}
    return asked | ({"name": name} if "name" in page.context["form"].fields else {})


def mapped(client, content, locate="L-1", columns=COLUMNS, written=WRITTEN, **named):
    """Choose a file, and say what its columns are; gives the address of the last step."""
    asked = {"file": token(chosen(client, content, locate, **named))} | written | columns
    answered = client.get(f"/logs/add/{locate}/map/", asked)
    assert answered.status_code == 302, [form.errors for form in (answered.context["mapped"].written, answered.context["mapped"].columns) if form]
    return answered.headers["Location"]


def kept(client, content=None, locate="L-1", **named):
    """Bring a log in, all the way; gives the last answer, its page."""
    content = content or text()
    where = chosen(client, content, locate, **named)
    if "layout=" not in where:
        where = mapped(client, content, locate, **named)
    return client.post(where, meanings(client.get(where)), follow=True)
