"""What the database keeps of a permit's life: a step comes in its turn, by whom it falls to, and stays as it was made."""

from locates.life.rules.acts import (
    ACTS,
    CANCELLING,
    EXTEND,
    FORMER,
    HANDING_BACK,
    ISSUER,
    JUDGED,
    NAMED,
    OFFICE,
    OTHERS,
    RECEIVER,
    STAND_IN,
    STEPS,
    TAKE_OVER,
    TIME_UP,
    UNAIDED,
    UNDONE,
    followers,
)
from locates.life.rules.stead import THINGS
from locates.permits.rules.signing import ACCEPT, ISSUE
from records.ledger.triggers import Guard, frozen
from records.rules.words import SAFETY_MANAGER

STEP_STAYS = "a step of a permit comes by its own act alone, and is never changed or removed"


def listed(words: tuple[str, ...]) -> str:
    return ", ".join(f"'{word}'" for word in words)


def barred(part: str) -> str:
    """The steps that do not fall to this part."""
    return f"NEW.act IN ({listed(tuple(name for name in STEPS if part not in ACTS[name].who))})"


MANAGES = f"EXISTS (SELECT 1 FROM firm_person AS m WHERE m.person = NEW.person_id AND m.roles LIKE '%{SAFETY_MANAGER}%')"


def instead(act: str, thing: str, whose: str) -> str:
    """Could whoever does it stand in for the one whose turn it is: is that one gone, and is the other the safety manager, or ever authorised for it?

    What of this holds on which day, the act looks at.
    """
    left = f"EXISTS (SELECT 1 FROM firm_person AS g WHERE g.person = {whose} AND g.left_on IS NOT NULL)"
    taken = f"EXISTS (SELECT 1 FROM training_award AS w WHERE w.person_id = {whose} AND w.withdrawn_on IS NOT NULL)"
    awarded = (
        "EXISTS (SELECT 1 FROM training_award AS a JOIN training_course AS c ON c.course = a.course_id"
        f" WHERE a.person_id = NEW.person_id AND c.authorises LIKE '%{thing}%')"
    )
    return f"(NEW.act = '{act}' AND ({left} OR {taken}) AND ({MANAGES} OR {awarded}))"


SIGNED = "WHEN EXISTS (SELECT 1 FROM permits_signoff AS f WHERE f.permit_id = NEW.permit_id AND f.meaning = '{0}') THEN '{0}'"
LAST = (
    "COALESCE((SELECT s.act FROM life_step AS s WHERE s.permit_id = NEW.permit_id ORDER BY s.number DESC LIMIT 1),"
    f" CASE {SIGNED.format(ACCEPT)} {SIGNED.format(ISSUE)} END)"
)
TURNS = " ".join(f"WHEN '{one}' THEN NEW.act IN ({listed(nexts)})" for one in (ISSUE, ACCEPT, *STEPS) if (nexts := followers(one)))
LAST_OF = "(SELECT s.{column} FROM life_step AS s WHERE s.permit_id = NEW.permit_id AND s.act = '{act}' ORDER BY s.number DESC LIMIT 1)"
TAKEN_OVER, EXTENDED = LAST_OF.format(column="person_id", act=TAKE_OVER), LAST_OF.format(column="until", act=EXTEND)
HANDED_TO = "(SELECT s.to_id FROM life_step AS s WHERE s.permit_id = NEW.permit_id ORDER BY s.number DESC LIMIT 1)"
ISSUES, RECEIVES = (f"(SELECT p.{part}_id FROM permits_permit AS p WHERE p.permit = NEW.permit_id)" for part in (ISSUER, RECEIVER))
HOLDS = f"COALESCE({TAKEN_OVER}, {RECEIVES})"
INSTEAD = (
    f"(NEW.person_id <> {ISSUES} AND NEW.person_id <> {HOLDS}"
    f" AND ({' OR '.join(instead(act, thing, HOLDS if act in HANDING_BACK else ISSUES) for act, thing in THINGS.items())}))"
)
ON_IT = (
    "(EXISTS (SELECT 1 FROM permits_permit_crew AS c WHERE c.permit_id = NEW.permit_id AND c.person_id = NEW.person_id)"
    " OR EXISTS (SELECT 1 FROM permits_permit AS p JOIN surveys_locate AS l ON l.locate = p.locate_id"
    " WHERE p.permit = NEW.permit_id AND l.operator_id = NEW.person_id))"
)
# who held it or was to, at any time
HELD_IT = (
    f"(NEW.person_id = {RECEIVES} OR EXISTS (SELECT 1 FROM life_step AS s WHERE s.permit_id = NEW.permit_id"
    f" AND ((s.act = '{TAKE_OVER}' AND s.person_id = NEW.person_id) OR s.to_id = NEW.person_id)))"
)
SIGNED_TO = "(SELECT p.valid_to FROM permits_permit AS p WHERE p.permit = NEW.permit_id)"
CLEAR = "NEW.verdict LIKE '%\"blocks\":[]%'"
# said as what may not be: a blank in a comparison must refuse, not let pass
UNSOUND = " OR ".join(
    (
        f"(NEW.act IN ({listed(JUDGED)}) AND NOT ({CLEAR}))",
        f"(NEW.act = '{UNDONE}' AND {CLEAR})",
        f"(NEW.act = '{TIME_UP}' AND NEW.done_at < COALESCE({EXTENDED}, {SIGNED_TO}))",
        f"(NEW.person_id IS NULL) <> (NEW.act IN ({listed(UNAIDED)}))",
        "NEW.number <> 1 + (SELECT COUNT(*) FROM life_step AS s WHERE s.permit_id = NEW.permit_id)",
        f"NOT (CASE {LAST} {TURNS} ELSE FALSE END)",
        f"(NEW.act NOT IN ({listed(UNAIDED)})"
        f" AND ({barred(ISSUER)} OR NEW.person_id <> {ISSUES}) AND ({barred(RECEIVER)} OR NEW.person_id <> {HOLDS})"
        f" AND ({barred(NAMED)} OR NEW.person_id <> COALESCE({HANDED_TO}, ''))"
        f" AND ({barred(OTHERS)} OR NOT {ON_IT}) AND ({barred(FORMER)} OR NOT {HELD_IT}) AND ({barred(STAND_IN)} OR NOT {INSTEAD})"
        f" AND ({barred(OFFICE)} OR NOT {MANAGES}))",
        f"(NEW.act IN ({listed(CANCELLING)}) AND EXISTS (SELECT 1 FROM life_step AS s WHERE s.permit_id = NEW.permit_id"
        f" AND s.act IN ({listed(HANDING_BACK)}) AND s.person_id = NEW.person_id))",
    )
)

READS = ("permits_permit", "permits_permit_crew", "permits_signoff", "surveys_locate", "firm_person", "training_award", "training_course")
STEPPED = "EXISTS (SELECT 1 FROM life_step AS s WHERE s.permit_id = NEW.permit_id)"
GUARDS = (
    *frozen("life_step", STEP_STAYS, ("id", "permit_id number"), reads=READS, refused=UNSOUND),
    # one that was withdrawn is never accepted
    Guard("permits_signoff", "INSERT", "a permit that was withdrawn is signed no more", STEPPED, ("life_step",), also="_after_a_step"),
)
