"""Which sheet of a permit is printed: what was signed, with what came to be known later, or the permit as it stands."""

import json
from datetime import datetime
from typing import Any

from locates.permits.actions import Prospect, preview, signed
from locates.permits.rules.signing import MEANINGS
from locates.permits.sheet import sheet, with_later
from locates.permits.since import Since, goes_on, signed_last, told


def sheet_to_print(permit: str, at: datetime) -> dict[str, Any]:
    """The sheet at the instant. Raises Permit.DoesNotExist.

    Once both have signed it is the sheet that was signed last, perhaps for an extension, word for word; where the gate
    blocks the permit by now, the paper says so beside it. Until then a blocked permit is printed as blocked, and an issued one as it was issued.
    """
    return sheet_of(preview(permit, at))


def sheet_of(prospect: Prospect) -> dict[str, Any]:
    """The sheet to print of a permit as it stands at the prospect's instant."""
    permit, at = prospect.verdict.permit, prospect.verdict.at
    made, became = [one for one in prospect.signatures if one.signed_at <= at], told([permit], at).get(permit)
    if not made or (made[-1].meaning != MEANINGS[-1] and not prospect.verdict.clear and became is None):
        return sheet(prospect.evidence, prospect.verdict, [signed(one) for one in made])
    return as_signed(signed_last(permit) or made[-1].sheet, prospect, became)


def as_signed(sheet_text: str, now: Prospect, since: Since | None) -> dict[str, Any]:
    """The signed sheet, word for word.

    Where the gate blocks the permit by now, or it is suspended or over, the paper says so beside it, so that no old copy passes for a good one.
    """
    frozen = json.loads(sheet_text)
    stopped = since if since is not None and not since.digs else None
    holds = now.verdict.clear or goes_on(since, now.evidence, now.verdict)
    return frozen if holds and stopped is None else with_later(frozen, now.verdict, (stopped.word, stopped.says) if stopped else None)
