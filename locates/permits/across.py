"""What must fit between permits, looked at where one of them changed."""

from collections.abc import Collection

from django.db.models import F, Q

from locates.permits.models import Following
from locates.surveys.rules import rings
from records.rules.wrong import Wrong
from records.tables import Found


def following_rings(permits: Collection[str]) -> Found:
    """Permits that follow themselves through others."""
    edges: dict[str, set[str]] = {}
    for new, old in Following.objects.values_list("permit_id", "follows_id").iterator():
        edges.setdefault(new, set()).add(old)
    for permit in sorted(rings(edges) & set(permits)):
        yield permit, Wrong("follows", f"permit {permit} follows itself through others: an earlier permit was expected")


def moved_permits(permits: Collection[str]) -> Found:
    """Permits that would be of another site than one that they follow or that follows them."""
    rows = Following.objects.filter(Q(permit__in=permits) | Q(follows__in=permits)).exclude(permit__site=F("follows__site")).order_by("pk")
    for new, old in rows.values_list("permit_id", "follows_id"):
        moved, other = (new, old) if new in permits else (old, new)
        yield moved, Wrong("site", f"it would be of another site than permit {other}, which goes with it: the same site was expected")
