"""People, sites and the numbers in force, to read."""

from typing import ClassVar

from django.contrib import admin

# its own page of groups comes with it, and nobody here is in a group
from django.contrib.auth.admin import Group

from records.admin import ReadOnlyAdmin
from records.firm.models import Person, Rule, RuleSet, Site

admin.site.unregister(Group)


@admin.register(Person)
class PersonAdmin(ReadOnlyAdmin):
    hidden = ("password",)
    list_display: ClassVar = ["person", "name", "employer", "roles", "left_on"]
    list_filter: ClassVar = ["employer"]
    search_fields: ClassVar = ["person", "name", "employer"]


@admin.register(RuleSet)
class RuleSetAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["rule_set", "recorded_at"]
    search_fields: ClassVar = ["rule_set"]


@admin.register(Rule)
class RuleAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["rule_set", "key", "effective_from", "value", "source"]
    list_filter: ClassVar = ["rule_set", "key"]
    list_select_related: ClassVar = ["rule_set"]
    search_fields: ClassVar = ["key", "source"]


@admin.register(Site)
class SiteAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["site", "name", "time_zone", "rule_set", "owners_to_ask"]
    list_filter: ClassVar = ["rule_set"]
    list_select_related: ClassVar = ["rule_set"]
    search_fields: ClassVar = ["site", "name"]
