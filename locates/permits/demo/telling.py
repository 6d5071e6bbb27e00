"""What the demo command prints: which permits may be signed, which are blocked and why, and who can sign in."""

from collections.abc import Iterator, Mapping, Sequence
from textwrap import fill

from locates.permits.actions import Prospect
from locates.permits.rules.signing import ACCEPT, ISSUE
from locates.permits.since import Since
from records.rules.dates import instant_says
from records.rules.verdict import Verdict

NOTICE = "standing"
DONE = {ISSUE: "to be issued", ACCEPT: "issued; to be accepted", None: "issued and accepted"}
WIDTH = 110
INDENT = " " * 9


def report(prospects: Sequence[Prospect], since: Mapping[str, Since]) -> Iterator[str]:
    """The table, line by line: first the permits of whose life since the signatures there is something to say."""
    lived = {one.verdict.permit: since[one.verdict.permit] for one in prospects if one.verdict.permit in since and since[one.verdict.permit].says}
    yield f"SIGNED, AND SINCE ({len(lived)})"
    for one in prospects:
        if told := lived.get(one.verdict.permit):
            yield _head(one)
            yield fill(f"{told.word or 'In force'}. {told.says}", WIDTH, initial_indent=INDENT, subsequent_indent=INDENT + "  ")
    yield ""
    ahead = [one for one in prospects if one.verdict.permit not in lived]
    may = [one for one in ahead if one.verdict.clear]
    blocked = [one for one in ahead if not one.verdict.clear]
    yield f"MAY BE SIGNED ({len(may)})"
    for one in may:
        yield from _may(one)
    yield ""
    yield f"BLOCKED: NOT TO DIG ({len(blocked)})"
    for one in blocked:
        yield from _blocked(one)
    yield ""
    yield from _notice(prospects)


def _head(one: Prospect) -> str:
    permit = one.evidence.permit
    return f"  {permit.permit:<7}{permit.method:<9}{permit.work}"


def _may(one: Prospect) -> Iterator[str]:
    verdict = one.verdict
    yield _head(one)
    until = instant_says(verdict.good_until, verdict.zone)
    yield f"{INDENT}{DONE[one.due]}; good until {until} at the site ({', '.join(verdict.limited_by)}); {_cautions(verdict)}"


def _cautions(verdict: Verdict) -> str:
    count = sum(one.code != NOTICE for one in verdict.cautions)
    return f"{count} caution{'s' * (count != 1)}"


def _blocked(one: Prospect) -> Iterator[str]:
    yield _head(one)
    for block in one.verdict.blocks:
        yield fill(f"{block.code}  {block.says}", WIDTH, initial_indent=INDENT, subsequent_indent=INDENT + "  ")


def _notice(prospects: Sequence[Prospect]) -> Iterator[str]:
    said = {caution.says for one in prospects for caution in one.verdict.cautions if caution.code == NOTICE}
    yield from (fill(line, WIDTH) for line in sorted(said))


def log_ins(prospects: Sequence[Prospect], others: Sequence[tuple[str, str, str]]) -> Iterator[str]:
    """Whom to sign in as: issuer and receiver of the first permit that may be signed and has no signature, then the others (what, who, name)."""
    free = next((one.evidence.permit for one in prospects if one.verdict.clear and one.due == ISSUE), None)
    pair = [(f"issuer of {free.permit}", free.issuer), (f"receiver of {free.permit}", free.receiver)] if free else []
    rows = [*((what, who.person, who.name) for what, who in pair), *others]
    for what, person, name in rows:
        yield f"  {person:<8}{what:<22}{name}"
