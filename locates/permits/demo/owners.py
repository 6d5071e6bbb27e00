"""What the invented firm asks the owners of services for, and what one of them told and agreed to, as register rows."""

from locates.permits.demo.days import Calendar
from locates.permits.demo.numbers import SINCE

LINES = "Kahurere Lines"
SOURCE = "Kahurere Lines, general conditions for work near its cables, sheet 2 (invented, as the owner is)"
WORDS = "No plant on the ground over our cable. Ring the control room before the first cut of each day and when the day's work is over."


def need_rows(days: Calendar) -> list[dict[str, str]]:
    """Near cables of the harbour's lines company it is consulted; where it is not, that is a caution."""
    row = {"rule_set": "firm-harbour", "effective_from": days.day(SINCE).isoformat(), "need": "lines-company", "needed": "consult", "within_m": "1"}
    return [row | {"utility": "electricity", "service_owner": LINES, "methods": "", "above_kv": "", "above_bar": "", "blocks": "no", "source": SOURCE}]


def agreement_rows(site: str, days: Calendar) -> list[dict[str, str]]:
    """What the lines company agreed to at the harbour, good for the weeks about today."""
    agreed_on = days.worked(6)
    said = {"agreed": "consult", "agreed_with": "the duty engineer of its control room", "reference_no": "KL 5521", "conditions": WORDS}
    when = {"agreed_at": days.text(days.clock(agreed_on, "10:20")), "good_from": agreed_on.isoformat(), "good_through": days.day(-21).isoformat()}
    return [{"agreement": "AG-1", "site": site, "service_owner": LINES, "utility": "electricity", "person": "P-05"} | said | when]


def rating_rows(days: Calendar) -> list[dict[str, str]]:
    """At what voltage the feeder in the harbour's road runs."""
    told = {"rating": "SR-1", "service": "WHA-KAH-4.HV", "told_on": days.worked(6).isoformat(), "voltage_kv": "11", "pressure_bar": ""}
    return [told | {"note": "By telephone, the duty engineer of its control room, when the work was agreed to"}]
