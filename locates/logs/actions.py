"""Logs and layouts kept: each act one errand, all of it or nothing."""

from dataclasses import dataclass
from datetime import datetime

from locates.logs.models import Layout, Log
from locates.logs.rules import layout, use
from locates.surveys.models import Locate
from records.files.actions import keep
from records.files.store import Upload, digest_of
from records.identifiers import next_identifier
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor, parse

CSV = "text/csv"
WHAT = "receiver’s log"


class Retired(Exception):
    """The layout was retired meanwhile."""


class KeptAlready(Exception):
    """This very file is kept with the locate already."""


@dataclass(frozen=True, slots=True)
class New:
    """A layout that is told with its first file."""

    name: str
    how: layout.How


def keep_log(locate: Locate, upload: Upload, by_layout: New | Layout, words: dict[str, str], account: use.Account, by: Actor, at: datetime) -> Log:
    """Keep a log with its locate, and with it a new layout, or the words by which a known one grows. Raises Retired and KeptAlready."""
    with errand(by, at) as underway:
        read_by = _new_layout(by_layout, underway) if isinstance(by_layout, New) else _grown(by_layout.pk, words, underway)
        _only_once(locate, upload)
        file = keep(underway, "locate", locate.pk, str(locate), WHAT, upload, CSV)
        name = next_identifier(Log, "LG-")
        made = Log.objects.create(log=name, locate=locate, layout=read_by, file=file, shows=use.written(account), recorded_at=at)
        told = {"locate": locate.pk, "layout": read_by.pk, "file": file.key, "rows": account.rows}
        underway.write("log.kept", "log", name, f"{name} of {locate}", account.first, after=told)
    return made


def _only_once(locate: Locate, upload: Upload) -> None:
    """Its time would count twice."""
    held = Log.objects.filter(locate=locate, file__sha256=digest_of(upload), file__struck_at=None).first()
    if held is not None:
        raise KeptAlready(f"this very file is kept with the locate already, as {held.log}: another one was expected")


def _new_layout(new: New, underway: Errand) -> Layout:
    made = Layout.objects.create(layout=next_identifier(Layout, "LY-"), name=new.name, how=layout.written(new.how), recorded_at=underway.at)
    underway.write("layout.told", "layout", made.pk, made.name, underway.at, after={"name": made.name, "how": parse(made.how)})
    return made


def _grown(key: str, words: dict[str, str], underway: Errand) -> Layout:
    """The layout as it is now, with the words that it did not know."""
    found = Layout.objects.get(pk=key)
    if found.retired_at is not None:
        raise Retired(found.name)
    before, more = found.how, layout.with_words(found.reads, words)
    if more != found.reads:
        found.how = layout.written(more)
        found.save(update_fields=["how"])
        underway.write("layout.words", "layout", found.pk, found.name, underway.at, before={"how": parse(before)}, after={"how": parse(found.how)})
    return found


def rename(key: str, name: str, by: Actor, at: datetime) -> bool:
    """Call a layout something else. False: it was called so already."""
    with errand(by, at, may_be_empty=True) as underway:
        found = Layout.objects.get(pk=key)
        before, changed = found.name, found.name != name
        if changed:
            found.name = name
            found.save(update_fields=["name"])
            underway.write("layout.renamed", "layout", key, name, at, before={"name": before}, after={"name": name})
    return changed


def retire(key: str, why: str, by: Actor, at: datetime) -> Layout:
    """Read no more files by a layout. What it read stays read. Raises Layout.DoesNotExist where it is retired already."""
    with errand(by, at) as underway:
        found = Layout.objects.get(pk=key, retired_at=None)
        found.retired_at, found.retired_because = at, why
        found.save(update_fields=["retired_at", "retired_because"])
        underway.write("layout.retired", "layout", key, found.name, at, why=why)
    return found
