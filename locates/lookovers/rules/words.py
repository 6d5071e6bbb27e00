"""The words of a dig's diary: its kinds of rows, why a look-over is made, and what it looks at."""

LOOK_OVER, SWEEP, EXPOSURE, EVENT = KINDS = ("look_over", "sweep", "exposure", "event")
KINDS_SAY = {LOOK_OVER: "Look-over", SWEEP: "Swept again", EXPOSURE: "Exposed by hand", EVENT: "Happened"}

# why a look-over is owed: the day's start, and what happened since; `again`: none was owed, and one was made all the same
START, RAIN, CHANGE, SHIFT, RESUMED, AGAIN = OCCASIONS = ("start", "rain", "change", "shift", "resumed", "again")
OCCASIONS_SAY = {
    START: "before work",
    RAIN: "after rain",
    CHANGE: "after something happened",
    SHIFT: "after the permit was taken over",
    RESUMED: "after the work was resumed",
    AGAIN: "during work",
}
EVENTS = (RAIN, CHANGE)
EVENTS_SAY = {RAIN: "It has rained", CHANGE: "Something happened that may have changed the ground, the marks or the sides of the dig"}

# the points of a look-over, as they are declared where they hold, and as they are told where they do not
POINTS = {
    "marks": "The marks on the ground can all be read.",
    "ground": "The ground is as it was when it was located: nothing was filled, washed out, driven over or built on it since.",
    "instruments": "A receiver to sweep again with is here, in date and checked before use.",
    "crew": "Everyone who digs is named on this permit and has been told what it says.",
}
POINTS_WRONG = {
    "marks": "the marks cannot all be read",
    "ground": "the ground is not as it was when it was located",
    "instruments": "no receiver fit to sweep again with is here",
    "crew": "somebody who digs is not named on this permit or has not been told of it",
}
# one point more where owners of services agreed to the work on conditions of theirs
OWNERS = "owners"
WITH_OWNERS = POINTS | {OWNERS: "What the owners of services asked for is kept to, and whoever of them is to stand by is here."}
WRONG_SAYS = POINTS_WRONG | {OWNERS: "what an owner of services asked for is not kept to, or whoever of them is to stand by is not here"}
BEFORE_DIGGING = "I have stood on this ground and looked it over."

ISSUER, RECEIVER, NAMED, OPERATOR, CREW = PARTS = ("issuer", "receiver", "named", "operator", "crew")
PARTS_SAY = {ISSUER: "issuer", RECEIVER: "receiver", NAMED: "to take over", OPERATOR: "operator of the locate", CREW: "crew"}


def points(agreed: bool) -> dict[str, str]:
    """The points of a look-over; `agreed`: does the permit bear what owners agreed to?"""
    return WITH_OWNERS if agreed else POINTS


def declared(wrong: tuple[str, ...], *, agreed: bool = False) -> str:
    """What whoever looks over declares: each point that holds; of the rest, that it does not."""
    held = [says for point, says in points(agreed).items() if point not in wrong]
    against = [f"Not so: {WRONG_SAYS[point]}." for point in WITH_OWNERS if point in wrong]
    return " ".join([BEFORE_DIGGING, *held, *against])


def because(wrong: tuple[str, ...], note: str) -> str:
    """Why a look-over stops the work, as the step of the permit's life tells it."""
    told = "; ".join(WRONG_SAYS[point] for point in WITH_OWNERS if point in wrong)
    return f"At the look-over: {told}. {note}".strip()
