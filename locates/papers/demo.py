"""What became of the demo firm's permits on Ropewalk and of its emergency work: done by the ordinary acts, at instants before the demo was made."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from locates.life.actions import Wish, outlook, step
from locates.life.rules.acts import CANCEL, END_CONDITIONS, EXTEND, HAND_BACK, HAND_OVER, RESUME, STOP, SUSPEND, TAKE_OVER
from locates.papers.actions import issue_paper
from locates.papers.seal import first_seal
from locates.permits.demo.days import Calendar
from locates.permits.demo.parts import CLOSES
from locates.permits.demo.people import FIRM
from locates.permits.demo.steps import sign_next
from locates.permits.models import Permit
from locates.permits.rules.signing import ACCEPT, ISSUE
from records.firm.models import Person

SIGN, PRINT = (ISSUE, ACCEPT), "print"


@dataclass(frozen=True, slots=True)
class Event:
    """What was done so many days before the demo is made, by whom, and what they told. `days`: an extension runs to the evening so many days ahead."""

    back: int
    clock: str
    act: str
    by: str
    why: str = ""
    left: str = ""
    to: str = ""
    days: int | None = None


LIVES = {
    "Q-121": (
        Event(1, "07:10", ISSUE, "P-03"),
        Event(1, "07:25", ACCEPT, "P-08"),
        Event(1, "07:30", PRINT, "P-08"),
        Event(1, "11:40", EXTEND, "P-03", why="The lamp column comes two days later than was promised.", days=3),
        Event(1, "11:45", PRINT, "P-03"),
        Event(
            1,
            "15:50",
            HAND_OVER,
            "P-08",
            left="Dug by hand to 0.7 m. The cables are exposed on the north side and boarded over; barriers all round.",
            to="P-13",
        ),
        Event(1, "16:05", TAKE_OVER, "P-13"),
    ),
    "Q-122": (
        Event(1, "07:15", ISSUE, "P-04"),
        Event(1, "07:40", ACCEPT, "P-13"),
        Event(1, "14:20", SUSPEND, "P-13", why="Heavy rain: the sides slip.", left="Open to 0.6 m, one side propped, covered with boards, fenced and lit."),
    ),
    "Q-123": (
        Event(1, "07:20", ISSUE, "P-03"),
        Event(1, "07:50", ACCEPT, "P-08"),
        Event(1, "15:35", STOP, "P-22"),
    ),
    "Q-124": (
        Event(1, "07:30", ISSUE, "P-04"),
        Event(1, "08:05", ACCEPT, "P-08"),
        Event(1, "16:40", HAND_OVER, "P-08", left="Marked out and the surface broken; nothing is exposed yet. Barriers stand.", to="P-13"),
    ),
    "Q-125": (
        Event(2, "07:10", ISSUE, "P-03"),
        Event(2, "07:35", ACCEPT, "P-13"),
        Event(2, "07:40", PRINT, "P-13"),
    ),
    "Q-126": (
        Event(3, "07:15", ISSUE, "P-04"),
        Event(3, "07:30", ACCEPT, "P-13"),
        Event(3, "07:35", PRINT, "P-13"),
        Event(
            2,
            "09:25",
            END_CONDITIONS,
            "P-04",
            why="A water main burst up the street and washed the marks away.",
            left="Open to 0.5 m, half full of water, fenced.",
        ),
        Event(2, "15:10", HAND_BACK, "P-13", left="Pumped out, filled with sand to the surface and plated."),
    ),
    "Q-127": (
        Event(3, "07:20", ISSUE, "P-03"),
        Event(3, "07:45", ACCEPT, "P-08"),
        Event(
            3,
            "10:30",
            SUSPEND,
            "P-08",
            why="A cable lies 0.4 m from where its trace has it.",
            left="Open to 0.5 m, the cable exposed for 0.3 m and boarded over.",
        ),
        Event(3, "12:50", RESUME, "P-03", why="The owner's engineer looked at the cable; it is followed by hand from here on."),
        Event(2, "14:40", HAND_BACK, "P-08", left="The base is cast, and the ground made good to its surface."),
        Event(2, "16:15", CANCEL, "P-03"),
    ),
    "Q-131": (
        Event(1, "17:20", ISSUE, "P-03"),
        Event(1, "17:30", ACCEPT, "P-13"),
        Event(1, "17:35", PRINT, "P-13"),
        Event(
            1,
            "20:45",
            HAND_BACK,
            "P-13",
            left="The clamp is on and dry. Plated and fenced; under the plate, at the side of the hole, a gas pipe that is on no plan, boarded over.",
        ),
    ),
}
SEALED_FOR = timedelta(days=7)  # the firm's seal is older than its first paper


def live(at: datetime, root: str) -> None:
    """Have each permit live its life, up to the instant. `root`: where the site is, as its papers bear it."""
    first_seal(FIRM, at - SEALED_FOR)
    for permit in Permit.objects.filter(pk__in=LIVES).select_related("site").order_by("pk"):
        days = Calendar(at, ZoneInfo(permit.site.time_zone))
        for event in LIVES[permit.pk]:
            _done(permit.pk, event, days, root)


def _done(permit: str, event: Event, days: Calendar, root: str) -> None:
    at = days.clock(days.day(event.back), event.clock)
    if event.act in SIGN:
        sign_next(permit, at)
    elif event.act == PRINT:
        issue_paper(permit, Person.objects.get(pk=event.by), root, at)
    else:
        until = None if event.days is None else days.clock(days.day(-event.days), CLOSES)
        wish = Wish(event.act, event.why, event.left, event.to, until)
        step(permit, event.by, wish, at, outlook(permit, wish, at).seen)
