"""What came of other things, as register rows: emergency work, permits that follow others, and a plan that was found wrong by digging."""

from locates.permits.demo.days import Calendar

BURST, EXPOSED = "15:50", "20:40"  # yesterday


def emergency_rows(days: Calendar) -> list[dict[str, str]]:
    """The burst main of Capstan Steps, dug by hand without the plans of an owner who had not answered."""
    told = {
        "danger": "Water runs into the cellars of nos. 3 and 5, and the wall above the steps has begun to lean.",
        "waiting": "Vennet Telecom was asked again and does not answer within the day. All other owners have answered.",
    }
    return [{"permit": "Q-131"} | told | {"decided_by": "P-01", "decided_at": days.text(days.clock(days.day(1), BURST))}]


def following_rows() -> list[dict[str, str]]:
    """Which permit takes the place of which, why, and what is different in it."""
    rows = (
        (
            "Q-128",
            "Q-126",
            "It was ended when a burst main washed the marks away, and the base is not cast.",
            "Located and marked afresh. A little wider and 0.2 m deeper, where the water softened the ground.",
        ),
        (
            "Q-132",
            "Q-131",
            "The clamp holds for some weeks; the main is cut out and made new.",
            "No emergency any more: every owner's plans are waited for. Wider, for a length of new pipe.",
        ),
    )
    return [dict(zip(("permit", "follows", "why", "changed"), row, strict=True)) for row in rows]


def wrong_plan_rows(days: Calendar) -> list[dict[str, str]]:
    """What was exposed by hand in the emergency and is on no plan."""
    what = "A service pipe to no. 3, exposed by hand under permit Q-131, leaves the main 0.6 m deep below the seventh step. It is not on the plan."
    row = {"wrong": "WP-1", "enquiry": "CAP-HOL-4", "found_at": days.text(days.clock(days.day(1), EXPOSED)), "person": "P-13"}
    return [row | {"told_by": "", "what": what}]
