"""Steps travel in no register; they hold what they rest on in those of others."""

from locates.life import footing
from records.tables import Footing

TABLES = ()
CHECKS = ()
# what is settled, and so what a judged step keeps from being put right
SETTLED = {
    "rules.csv": footing.on_rules,
    "owner_needs.csv": footing.on_rules,
    "awards.csv": footing.on_awards,
    "enquiries.csv": footing.on_enquiries,
    "wrong_plans.csv": footing.on_wrong_plans,
    "service_ratings.csv": footing.on_ratings,
    "owner_agreements.csv": footing.on_owner_agreements,
}
FOOTINGS = (
    Footing("courses.csv", frozenset({"valid_months", "authorises"}), footing.on_courses, fewer=frozenset({"valid_months"})),
    *(Footing(file, frozenset(), resting, mending=True) for file, resting in SETTLED.items()),
)
READINGS = ()
