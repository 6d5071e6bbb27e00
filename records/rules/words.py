"""The words records may hold: the trade's terms, each list in the order in which pages offer it."""

OPERATOR, SUPERVISOR, SAFETY_MANAGER = ROLES = ("operator", "supervisor", "safety_manager")
CREW = "crew"  # whoever digs; no role in the site, for they need none to see what bears their name
NEEDING_ROLES = ("operator", "supervisor", CREW)
POSTED_ROLES = (OPERATOR, SUPERVISOR)  # a safety manager's reach is the firm's

PASSIVE = ("passive_power", "passive_radio")
TECHNIQUES = (*PASSIVE, "induction", "direct_connection", "clamp", "sonde")
EXPOSED = "exposed"
TRACE_TECHNIQUES = (*TECHNIQUES, EXPOSED)
TASKS = ("issue_permit", "receive_permit", "dig")
AUTHORISATIONS = (*TECHNIQUES, *TASKS)

UTILITIES = ("electricity", "gas", "oil", "telecom", "water", "reclaimed_water", "sewer", "drainage", "heating", "unknown")
INSTRUMENT_KINDS = ("receiver", "transmitter", "clamp", "sonde")
CHECK_KINDS = ("before_use", "self_test")
CHECK_RESULTS = ("pass", "fail")
AS_FOUND = ("in_tolerance", "out_of_tolerance", "not_measured")
QUALITY_LEVELS = ("A", "B", "C", "D")
# what published scheme the letters are of; the first is the firm's own
QUALITY_SCHEMES = ("own", "as_5488", "asce_38", "pas_128", "arrete_2012")
OUTCOMES = ("outside_dig", "not_found")
METHODS = ("hand", "vacuum", "machine", "bore")

DEFAULT_RULE_SET = "default"

TOLD = {"issue_permit": "issuing permits", "receive_permit": "receiving permits", "dig": "digging"}


def spoken(word: str) -> str:
    """A word that records hold, as a sentence says it."""
    return TOLD.get(word, word.replace("_", " "))
