"""The states that a permit can be in and the acts that lead from one to another: from where, by whom, declaring what, and what each owes.

The words and their order are those of published guidance on permits to work (HSE HSG250, first edition 2005: form items 9 to 13);
what is declared is said in our own.
"""

from dataclasses import dataclass

from locates.permits.rules.signing import ACCEPT, DECLARATIONS, ISSUE

PREPARED, ISSUED, ACCEPTED, SUSPENDED, BETWEEN, ENDED, HANDED_BACK, CANCELLED = STATES = (
    "prepared",
    "issued",
    "accepted",
    "suspended",
    "between_receivers",
    "ended",
    "handed_back",
    "cancelled",
)
# the receiver is whoever took over last; named is whom they hand it over to; the others are the crew and the operator of the locate;
# a former one held it before, or was to take it over and was not the one who did: what they saw may come later, and it stops the work all the same;
# a stand-in acts in the place of an issuer or a receiver who is gone; the office is the safety managers;
# nobody is no person: what falls to nobody, the watch does by itself
ISSUER, RECEIVER, NAMED, OTHERS, FORMER = "issuer", "receiver", "named", "others", "former"
STAND_IN, OFFICE, NOBODY = "stand_in", "office", "nobody"
WATCH = "Spadework's watch"  # printed where other acts print a person's name
STOP, HALT, FORBID, SUSPEND, RESUME = "stop", "halt", "forbid", "suspend", "resume"
HAND_OVER, TAKE_OVER, EXTEND = "hand_over", "take_over", "extend"
END_SCOPE, END_CONDITIONS, HAND_BACK, CANCEL = "end_scope", "end_conditions", "hand_back", "cancel"
UNDONE, TIME_UP = "undone", "time_up"
WITHDRAW, WITHDRAW_FOR, HAND_BACK_FOR, CANCEL_FOR = "withdraw", "withdraw_for", "hand_back_for", "cancel_for"
WORKING = (ACCEPTED, SUSPENDED, BETWEEN)  # from these the permit also ends by time


@dataclass(frozen=True, slots=True)
class Act:
    """An act: from which states to which, which parts in the permit may do it, and what whoever does it declares.

    `owes`: what must be told of it: why it is done; in what state the work is left; to whom it is handed over; until when it now runs.
    `verdict`: is a verdict without a block owed, made afresh?
    """

    name: str
    froms: tuple[str, ...]
    leads: str
    who: tuple[str, ...]
    declares: str
    owes: tuple[str, ...] = ()
    verdict: bool = False


WHY, LEFT, TO, UNTIL = OWED = ("why", "left", "to", "until")

EVERY = (
    Act(ISSUE, (PREPARED,), ISSUED, (ISSUER,), DECLARATIONS[ISSUE], verdict=True),
    Act(ACCEPT, (ISSUED,), ACCEPTED, (RECEIVER,), DECLARATIONS[ACCEPT], verdict=True),
    Act(
        WITHDRAW,
        (ISSUED,),
        CANCELLED,
        (ISSUER,),
        "I withdraw this permit before anybody has accepted it. Nobody has dug by it, and nobody will; its copies are back together.",
        (WHY,),
    ),
    Act(
        WITHDRAW_FOR,
        (ISSUED,),
        CANCELLED,
        (STAND_IN,),
        "Whoever issued this permit cannot withdraw it, for the reason that I give. Nobody has accepted it, dug by it, or will; its copies are back "
        "together, and I withdraw it in their place.",
        (WHY,),
    ),
    # whoever sees it first stops the work: it takes one tap, and so owes nothing more
    Act(
        STOP,
        (ACCEPTED, BETWEEN),
        SUSPENDED,
        (ISSUER, RECEIVER, NAMED, OTHERS, FORMER),
        "Something was found that is not on the plan. I have stopped the work where it stood; nobody digs by this permit "
        "until its issuer has looked and resumed it.",
    ),
    # a look-over that finds something wrong stops the work with it
    Act(
        HALT,
        (ACCEPTED, BETWEEN),
        SUSPENDED,
        (ISSUER, RECEIVER, NAMED, OTHERS, FORMER),
        "At the look-over something was not as this permit needs it. I have stopped the work where it stood; nobody digs by this permit "
        "until its issuer has looked and resumed it.",
        (WHY,),
    ),
    # the office does not stand on the ground: it says so, and whoever is on the permit is told
    Act(
        FORBID,
        (ACCEPTED, BETWEEN),
        SUSPENDED,
        (OFFICE,),
        "From the office, and without having stood on this ground, I forbid digging by this permit for the reason that I give. Those on it are told; "
        "nobody digs by it until its issuer has looked and resumed it.",
        (WHY,),
    ),
    Act(
        UNDONE,
        (ACCEPTED, BETWEEN),
        SUSPENDED,
        (NOBODY,),
        "What this permit rests on was judged again, and does not hold any more. The reasons stand here; nobody digs by this permit until they are "
        "mended and its issuer has looked and resumed it.",
        (WHY,),
    ),
    Act(
        SUSPEND,
        (ACCEPTED, BETWEEN),
        SUSPENDED,
        (ISSUER, RECEIVER),
        "Digging has stopped and everyone in the crew has been told. The ground is left as I describe it here, and nobody digs by this permit "
        "until it is resumed.",
        (WHY, LEFT),
    ),
    Act(
        RESUME,
        (SUSPENDED,),
        ACCEPTED,
        (ISSUER,),
        "I have stood on this ground today, after the stop. The cause of it is dealt with, the marks can be read, and what this permit rests on still holds. "
        "Work may go on within the limits that were signed.",
        (WHY,),
        verdict=True,
    ),
    Act(
        HAND_OVER,
        (ACCEPTED, BETWEEN),
        BETWEEN,
        (RECEIVER,),
        "Digging has stopped. I have shown whoever takes over the marks, the plans and the hand-dig limits, and have told them in what state the work is left.",
        (LEFT, TO),
    ),
    Act(
        TAKE_OVER,
        (BETWEEN,),
        ACCEPTED,
        (NAMED,),
        "I take over this permit. I have been shown the marks, the plans and the hand-dig limits, and in what state the work was left; everyone in the "
        "crew knows that they now answer to me. Every service is taken as live, and work stops if anything is found that is not on the plans.",
        verdict=True,
    ),
    Act(
        EXTEND,
        (ACCEPTED,),
        ACCEPTED,
        (ISSUER,),
        "I have stood on this ground today. The work, the ground and the method are those that were signed, and I extend the time of this permit, "
        "and nothing else in it.",
        (WHY, UNTIL),
        verdict=True,
    ),
    Act(
        END_SCOPE,
        WORKING,
        ENDED,
        (ISSUER, RECEIVER),
        "The work that is wanted is no longer the work of this permit. Digging has stopped; what is wanted now needs a new permit.",
        (WHY, LEFT),
    ),
    Act(
        END_CONDITIONS,
        WORKING,
        ENDED,
        (ISSUER, RECEIVER),
        "The ground is no longer as this permit has it. Digging has stopped; what is left to do needs a new permit upon fresh evidence.",
        (WHY, LEFT),
    ),
    Act(
        TIME_UP,
        WORKING,
        ENDED,
        (NOBODY,),
        "The time of this permit is over, and nobody had ended it or handed it back by then. Nobody digs by it any more; it is to be handed back.",
    ),
    Act(
        HAND_BACK,
        (*WORKING, ENDED),
        HANDED_BACK,
        (RECEIVER,),
        "Digging by this permit is over. My crew is off the ground, tools are away, what was exposed is left as I describe it here, "
        "and I hand this permit back.",
        (LEFT,),
    ),
    Act(
        HAND_BACK_FOR,
        (*WORKING, ENDED),
        HANDED_BACK,
        (STAND_IN,),
        "Whoever held this permit cannot hand it back, for the reason that I give. I have been to the ground: digging by this permit is over, its crew "
        "is off the ground, what was exposed is left as I describe it here, and I hand this permit back in their place.",
        (WHY, LEFT),
    ),
    Act(
        CANCEL_FOR,
        (HANDED_BACK,),
        CANCELLED,
        (STAND_IN,),
        "Whoever issued this permit cannot cancel it, for the reason that I give. I have been to the ground and found it as it was handed back. The "
        "copies of this permit are back together, those who were told of the work are told that it is over, and I cancel it in their place.",
        (WHY,),
    ),
    Act(
        CANCEL,
        (HANDED_BACK,),
        CANCELLED,
        (ISSUER,),
        "I have been to the ground and found it as it was handed back. The copies of this permit are back together, those who were told of the work "
        "are told that it is over, and I cancel it: nobody digs by it again.",
    ),
)
ACTS = {one.name: one for one in EVERY}
STEPS = tuple(name for name in ACTS if name not in (ISSUE, ACCEPT))  # what comes after the signatures
JUDGED = tuple(name for name in STEPS if ACTS[name].verdict)
UPON = (*JUDGED, UNDONE)  # these keep the sheet and the verdict that they are upon
ONE_TAP = (STOP, HALT)  # these have no page of their own
AT_ONCE = (*ONE_TAP, FORBID)  # these wait for no password or code
UNAIDED = tuple(name for name in STEPS if ACTS[name].who == (NOBODY,))
WITHDRAWING = (WITHDRAW, WITHDRAW_FOR)
HANDING_BACK, CANCELLING = (HAND_BACK, HAND_BACK_FOR), (CANCEL, CANCEL_FOR)  # always two people
OVER = (*WITHDRAWING, END_SCOPE, END_CONDITIONS, TIME_UP, *HANDING_BACK, *CANCELLING)  # none of these leads back


def followers(act: str) -> tuple[str, ...]:
    """The steps that may come after the act, whatever the clock says."""
    return tuple(name for name in STEPS if ACTS[act].leads in ACTS[name].froms)
