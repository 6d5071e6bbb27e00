"""A plain model of one permit's life beside the database: what stands against it, how it stands, and what was done. It asks the house nothing."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from tests import cast
from tests.life.conftest import LATER
from tests.rules.test_life import OWED, TABLE

JUDGED = ("resume", "take_over", "extend")
LIVE, WORKING = ("accepted", "between_receivers"), ("accepted", "suspended", "between_receivers")
UNCOVERED = ("P-CR1", "P-SAF")  # who may not receive permits
AWARD = "A-REC"


@dataclass
class Model:
    """`harms`: what undoes it; `operator_ends`: when the operator's award is over; `gone`: who has left; `former`: who held it or was to."""

    at: datetime = LATER
    state: str = "accepted"
    receiver: str = "P-REC"
    named: str = ""
    ends: datetime = cast.AT + timedelta(hours=30)
    signed: datetime = cast.AT
    harms: set[str] = field(default_factory=set)
    gone: set[str] = field(default_factory=set)
    former: set[str] = field(default_factory=set)
    operator_ends: datetime | None = None
    handed_back_by: str = ""
    done: list[tuple[str, str | None]] = field(default_factory=list)

    @property
    def standing(self) -> str:
        return "ended" if self.over else self.state

    @property
    def over(self) -> bool:
        """Has its time ended it, and nobody written that down yet?"""
        return self.state in WORKING and self.at >= self.ends

    @property
    def lapsed(self) -> bool:
        return self.operator_ends is not None and self.operator_ends <= self.at

    @property
    def goes_on(self) -> bool:
        return self.state in LIVE and not self.over and not self.undone and self.lapsed

    @property
    def undone(self) -> bool:
        return self.harmed(self.receiver) or (self.lapsed and self.operator_ends <= self.signed)

    def harmed(self, receiver: str) -> bool:
        theirs = {"receiver"} if receiver != "P-REC" else set()
        return bool(self.harms - theirs) or bool(self.gone & {"P-ISS", receiver})

    def blocked(self, receiver: str) -> bool:
        return self.harmed(receiver) or self.lapsed or receiver in UNCOVERED

    def parts(self, act: str, person: str) -> set[str]:
        held = {"ISS": person == "P-ISS", "REC": person == self.receiver, "NEXT": person == self.named, "CREW": person in ("P-CR1", "P-OPE")}
        held["FORMER"] = person in self.former
        missing = self.receiver if act == "hand_back_for" else "P-ISS"
        taken = act == "hand_back_for" and missing == "P-REC" and "receiver" in self.harms
        held["STEAD"] = person == "P-SAF" != missing and (missing in self.gone or taken) and (act == "hand_back_for" or person != self.handed_back_by)
        return {part for part, holds in held.items() if holds}

    def allows(self, act: str, person: str, told: dict) -> bool:
        _, who = TABLE.get((act, self.standing), ("", ""))
        owed = all(told.get(name) for name in OWED[act]) and (act != "hand_over" or told["to"] not in ("P-ISS", self.receiver))
        judged = act in JUDGED and self.blocked(person if act == "take_over" else self.receiver)
        return bool(self.parts(act, person) & set(who.split())) and owed and not judged

    def does(self, act: str, person: str | None, told: dict) -> None:
        self.done.append((act, person))
        self.former |= {self.named, self.receiver} if act == "take_over" else {self.named}
        self.state = TABLE[act, self.state if act == "time_up" else self.standing][0]
        self.receiver = person if act == "take_over" else self.receiver
        self.named = told["to"] if act == "hand_over" else ""
        self.ends = told["until"] if act == "extend" else self.ends
        self.signed = self.at if act in JUDGED else self.signed
        self.handed_back_by = person if act in ("hand_back", "hand_back_for") else self.handed_back_by

    def watched(self) -> str:
        """What a watch does now, done."""
        act = "time_up" if self.over else "undone" if self.state in LIVE and self.undone else ""
        if act:
            self.does(act, None, {})
        return act


def day_of(at: datetime, days: int = 0) -> date:
    """The day at the site, so many days on."""
    return (at + timedelta(hours=13)).date() + timedelta(days=days)


def end_of(day: date) -> datetime:
    """The end of a day at the site, which lies thirteen hours before UTC in March."""
    return cast.AT.replace(year=day.year, month=day.month, day=day.day, hour=11, minute=0)
