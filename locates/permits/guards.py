"""What never changes once a permit is signed: the signatures, the permit, its crew, and the locate that it rests on."""

from records.ledger.triggers import frozen

SIGNED = "EXISTS (SELECT 1 FROM permits_signoff AS s WHERE s.permit_id = {row}.%s)"
RESTED_ON = "EXISTS (SELECT 1 FROM permits_permit AS p JOIN permits_signoff AS s ON s.permit_id = p.permit WHERE p.locate_id = {row}.%s)"
TRACED = (
    "EXISTS (SELECT 1 FROM surveys_trace AS t JOIN permits_permit AS p ON p.locate_id = t.locate_id"
    " JOIN permits_signoff AS s ON s.permit_id = p.permit WHERE t.trace = {row}.trace_id)"
)
PERMITS = ("permits_permit", "permits_signoff")

SIGNATURE_STAYS = "a signature comes by its own act alone, and is never changed or removed"
PERMIT_STAYS = "a signed permit is never changed or removed"
FOLLOW_UP_STAYS = "a follow-up is never changed or removed"
LOCATE_STAYS = "a locate under a signed permit is never changed or removed"

# a signature comes in only clear of blocks, by whom the permit names, and after the one before it
UNSOUND = (
    "NEW.verdict NOT LIKE '%\"blocks\":[]%'"
    " OR NOT EXISTS (SELECT 1 FROM permits_permit AS p WHERE p.permit = NEW.permit_id"
    " AND NEW.person_id = CASE NEW.meaning WHEN 'issue' THEN p.issuer_id ELSE p.receiver_id END)"
    " OR (NEW.meaning <> 'issue' AND NOT EXISTS (SELECT 1 FROM permits_signoff AS s WHERE s.permit_id = NEW.permit_id AND s.meaning = 'issue'))"
)

GUARDS = (
    *frozen("permits_signoff", SIGNATURE_STAYS, ("id", "permit_id meaning"), refused=UNSOUND),
    *frozen("permits_permit", PERMIT_STAYS, ("permit",), SIGNED % "permit", PERMITS),
    *frozen("permits_permit_crew", PERMIT_STAYS, ("id", "permit_id person_id"), SIGNED % "permit_id", PERMITS, children=True),
    *frozen("permits_following", PERMIT_STAYS, ("permit_id",), SIGNED % "permit_id", PERMITS, children=True),
    *frozen("permits_emergency", PERMIT_STAYS, ("permit_id",), SIGNED % "permit_id", PERMITS, children=True),
    *frozen("permits_followup", FOLLOW_UP_STAYS, ("id", "permit_id number")),
    *frozen("surveys_locate", LOCATE_STAYS, ("locate",), RESTED_ON % "locate", PERMITS),
    *frozen("surveys_sweep", LOCATE_STAYS, ("sweep",), RESTED_ON % "locate_id", PERMITS, children=True),
    *frozen("surveys_trace", LOCATE_STAYS, ("trace",), RESTED_ON % "locate_id", PERMITS, children=True),
    *frozen("surveys_outcome", LOCATE_STAYS, ("id", "locate_id service_id"), RESTED_ON % "locate_id", PERMITS, children=True),
    *frozen("surveys_trace_services", LOCATE_STAYS, ("id", "trace_id planservice_id"), TRACED, (*PERMITS, "surveys_trace"), children=True),
)
