"""The invented firm's own numbers, each with the source the firm gives for it."""

from locates.permits.demo.days import Calendar

SINCE = 900  # days back

ROWS = (
    ("firm-home", "hand_dig_m", "0.5", SINCE, "HSG47, safe digging section; figure read in a trade handbook, paragraph from memory"),
    ("firm-home", "permit_max_hours", "168", SINCE, "House number: seven days, the crew briefed again each day"),
    ("firm-home", "position_tolerance_C_m", "1.2", -5, "House number after the spring review: passive traces were up to 1.15 m out at trial holes"),
    ("firm-harbour", "hand_dig_m", "0.6", SINCE, "House number: half a metre and a spade's width"),
    ("firm-harbour", "plan_valid_days", "30", SINCE, "Common practice, no published source"),
    ("firm-harbour", "sweep_margin_m", "1.0", SINCE, "House number"),
)


def rule_rows(days: Calendar) -> list[dict[str, str]]:
    """Their register rows; a negative day lies ahead."""
    return [
        {"rule_set": rule_set, "effective_from": days.day(back).isoformat(), "key": key, "value": value, "source": source}
        for rule_set, key, value, back, source in ROWS
    ]
