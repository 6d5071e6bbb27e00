"""Who could take a permit over."""

from datetime import datetime

from locates.life.rules.story import Life
from locates.permits.facts import people_of
from locates.permits.rules.candidates import for_role
from locates.permits.rules.evidence import Evidence
from records.firm.models import Person


def receivers(evidence: Evidence, life: Life, at: datetime) -> list[tuple[str, str]]:
    """Whoever may receive permits there now and is neither the issuer nor the receiver, as choices by name."""
    others = Person.objects.filter(left_on=None).exclude(pk__in=(life.issuer, life.receiver))
    people = list(others.order_by("name", "person").values_list("pk", flat=True))
    known = people_of(people)
    every = for_role(evidence, [known[one] for one in people], "receiver", at)
    return [(one.person.person, f"{one.person.name} ({one.person.person})") for one in every if not one.against]
