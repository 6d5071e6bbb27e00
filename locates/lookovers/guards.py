"""What the database keeps of a dig's diary: a row comes in its turn, by somebody who has or had a part in an accepted permit, and stays as it was made."""

from locates.life.guards import HELD_IT, ISSUES, ON_IT
from locates.permits.rules.signing import ACCEPT
from records.ledger.triggers import frozen

ROW_STAYS = "a row of a dig is written by somebody on its permit, and is never changed or removed"
# who held it once, or was to, may tell later of what they saw then
UNSOUND = " OR ".join(
    (
        f"NOT EXISTS (SELECT 1 FROM permits_signoff AS f WHERE f.permit_id = NEW.permit_id AND f.meaning = '{ACCEPT}')",
        "NEW.number <> 1 + (SELECT COUNT(*) FROM lookovers_diaryrow AS d WHERE d.permit_id = NEW.permit_id)",
        f"NOT (NEW.person_id = COALESCE({ISSUES}, '') OR {HELD_IT} OR {ON_IT})",
        "(NEW.stop_id IS NOT NULL AND NOT EXISTS (SELECT 1 FROM life_step AS s WHERE s.id = NEW.stop_id AND s.permit_id = NEW.permit_id))",
    )
)
READS = ("permits_permit", "permits_permit_crew", "permits_signoff", "surveys_locate", "life_step")
GUARDS = frozen("lookovers_diaryrow", ROW_STAYS, ("id", "permit_id number", "hole_id", "stop_id"), reads=READS, refused=UNSOUND)
