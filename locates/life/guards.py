"""What the database keeps of a permit's life: a step comes in its turn, by whom it falls to, and stays as it was made."""

from locates.life.rules.acts import (
    ACTS,
    CANCEL,
    EXTEND,
    HAND_BACK,
    ISSUER,
    JUDGED,
    NAMED,
    OTHERS,
    RECEIVER,
    STEPS,
    TAKE_OVER,
    TIME_UP,
    UNAIDED,
    UNDONE,
    followers,
)
from locates.permits.rules.signing import ACCEPT
from records.ledger.triggers import frozen

STEP_STAYS = "a step of a permit comes by its own act alone, and is never changed or removed"


def listed(words: tuple[str, ...]) -> str:
    return ", ".join(f"'{word}'" for word in words)


def barred(part: str) -> str:
    """The steps that do not fall to this part."""
    return f"NEW.act IN ({listed(tuple(name for name in STEPS if part not in ACTS[name].who))})"


LAST = "(SELECT s.act FROM life_step AS s WHERE s.permit_id = NEW.permit_id ORDER BY s.number DESC LIMIT 1)"
TURNS = " ".join(f"WHEN '{one}' THEN NEW.act IN ({listed(nexts)})" for one in (ACCEPT, *STEPS) if (nexts := followers(one)))
LAST_OF = "(SELECT s.{column} FROM life_step AS s WHERE s.permit_id = NEW.permit_id AND s.act = '{act}' ORDER BY s.number DESC LIMIT 1)"
TAKEN_OVER, EXTENDED = LAST_OF.format(column="person_id", act=TAKE_OVER), LAST_OF.format(column="until", act=EXTEND)
HANDED_TO = "(SELECT s.to_id FROM life_step AS s WHERE s.permit_id = NEW.permit_id ORDER BY s.number DESC LIMIT 1)"
ISSUES, RECEIVES = (f"(SELECT p.{part}_id FROM permits_permit AS p WHERE p.permit = NEW.permit_id)" for part in (ISSUER, RECEIVER))
ON_IT = (
    "(EXISTS (SELECT 1 FROM permits_permit_crew AS c WHERE c.permit_id = NEW.permit_id AND c.person_id = NEW.person_id)"
    " OR EXISTS (SELECT 1 FROM permits_permit AS p JOIN surveys_locate AS l ON l.locate = p.locate_id"
    " WHERE p.permit = NEW.permit_id AND l.operator_id = NEW.person_id))"
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
        f"NOT EXISTS (SELECT 1 FROM permits_signoff AS f WHERE f.permit_id = NEW.permit_id AND f.meaning = '{ACCEPT}')",
        "NEW.number <> 1 + (SELECT COUNT(*) FROM life_step AS s WHERE s.permit_id = NEW.permit_id)",
        f"NOT (CASE COALESCE({LAST}, '{ACCEPT}') {TURNS} ELSE FALSE END)",
        f"(NEW.act NOT IN ({listed(UNAIDED)})"
        f" AND ({barred(ISSUER)} OR NEW.person_id <> {ISSUES}) AND ({barred(RECEIVER)} OR NEW.person_id <> COALESCE({TAKEN_OVER}, {RECEIVES}))"
        f" AND ({barred(NAMED)} OR NEW.person_id <> COALESCE({HANDED_TO}, ''))"
        f" AND ({barred(OTHERS)} OR NOT {ON_IT}))",
        f"(NEW.act = '{CANCEL}' AND EXISTS (SELECT 1 FROM life_step AS s WHERE s.permit_id = NEW.permit_id AND s.act = '{HAND_BACK}'"
        " AND s.person_id = NEW.person_id))",
    )
)

READS = ("permits_permit", "permits_permit_crew", "permits_signoff", "surveys_locate")
GUARDS = frozen("life_step", STEP_STAYS, ("id", "permit_id number"), reads=READS, refused=UNSOUND)
