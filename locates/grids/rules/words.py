"""How a grid lies, in words that a person can judge it by."""

from locates.grids.rules.projection import Lie, round_the_earth

PAIRS = tuple[tuple[str, str], ...]
NO_CHANGE = "Nothing is lost: the system stands on WGS 84 itself. What a receiver of satellites is off by comes on top."
NOT_STATED = "Not stated, neither by the system's text nor by its registry. Hold it against points whose position is known in both before you rely on it."


def lie_says(lie: Lie) -> PAIRS:
    """What each thing is called and what is said of it."""
    lon, lat = lie.origin
    return (
        ("System", lie.system),
        ("Made for", _area_says(lie)),
        ("Origin on the Earth", f"longitude {lon:.7f}, latitude {lat:.7f}"),
        ("The y axis points", _bearing_says(lie)),
        ("Lengths", _lengths_say(lie)),
        ("Change of datum", lie.way or "none"),
        ("How good that is", accuracy_says(lie)),
    )


def _area_says(lie: Lie) -> str:
    if lie.area is None:
        return "its text does not say where"
    west, south, east, north = lie.area
    return f"{lie.area_name} (longitude {west:g} to {east:g}, latitude {south:g} to {north:g})"


def _bearing_says(lie: Lie) -> str:
    off = round(round_the_earth(lie.bearing_deg), 2)
    return f"{abs(off):.2f}° {'clockwise' if off > 0 else 'anticlockwise'} of true north" if off else "to true north"


def _lengths_say(lie: Lie) -> str:
    off_mm = (lie.metre_m - 1) * 100_000
    if abs(off_mm) < 1:
        return "as at sea level"
    return f"100 m of the grid are {abs(off_mm):.0f} mm {'more' if off_mm > 0 else 'less'} at sea level"


def accuracy_says(lie: Lie) -> str:
    """How far positions told in WGS 84 may be off for the change of datum alone; and whether a file would do better."""
    if lie.accuracy_m is None:
        return NOT_STATED
    if lie.accuracy_m == 0:
        return NO_CHANGE
    says = (
        f"Its registry states {lie.accuracy_m:g} m. That is no limit: at single places it can be twice or three times as much. "
        "What a receiver of satellites is off by comes on top."
    )
    if not lie.finer:
        return says
    name, accuracy_m = lie.finer[0]
    return (
        f"{says} A finer way ({name}, {accuracy_m:g} m) needs a file, which is not used, so that every machine gives the same answer. "
        "Where that is not good enough, have the points measured in the system itself."
    )
