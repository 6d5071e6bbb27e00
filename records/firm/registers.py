"""The registers of the firm: numbers in force, sites, people."""

from records.firm.models import Person, Posting, Rule, Site
from records.tables import always, table

TABLES = (
    table("rules.csv", Rule, "rule_set* effective_from* key* value* source", key="rule_set effective_from key", settled=always, makes="rule_set"),
    table("sites.csv", Site, "site* name* time_zone* rule_set* owners_to_ask"),
    table("people.csv", Person, "person* name* email employer roles left_on"),
    table("postings.csv", Posting, "posting* person* site* role* begins_on* ends_on", extra=True),
)
CHECKS = ()
FOOTINGS = ()
READINGS = ()
