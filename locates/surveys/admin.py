"""Enquiries, plans, locates and what they found, to read."""

from typing import ClassVar

from django.contrib import admin

from locates.surveys.models import Enquiry, Locate, Outcome, PlanService, Sweep, Trace
from records.admin import ReadOnlyAdmin


@admin.register(Enquiry)
class EnquiryAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["enquiry", "site", "service_owner", "sent_on", "answered_at", "good_through", "closed_on"]
    list_filter: ClassVar = ["site"]
    list_select_related: ClassVar = ["site"]
    search_fields: ClassVar = ["enquiry", "service_owner", "reference_no"]


@admin.register(PlanService)
class PlanServiceAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["service", "enquiry", "utility", "conductive"]
    list_filter: ClassVar = ["utility"]
    list_select_related: ClassVar = ["enquiry"]
    search_fields: ClassVar = ["service", "enquiry__enquiry"]


@admin.register(Locate)
class LocateAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["locate", "site", "operator", "receiver", "started_at", "finished_at"]
    list_filter: ClassVar = ["site"]
    list_select_related: ClassVar = ["site", "operator", "receiver"]
    search_fields: ClassVar = ["locate", "operator__person", "operator__name"]


@admin.register(Sweep)
class SweepAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["sweep", "locate", "technique", "bearing_deg", "spacing_m", "transmitter_offset_m"]
    list_filter: ClassVar = ["technique"]
    list_select_related: ClassVar = ["locate"]
    search_fields: ClassVar = ["sweep", "locate__locate"]


@admin.register(Trace)
class TraceAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["trace", "locate", "utility", "technique", "quality_level", "depth_m"]
    list_filter: ClassVar = ["utility", "technique", "quality_level"]
    list_select_related: ClassVar = ["locate"]
    search_fields: ClassVar = ["trace", "locate__locate"]


@admin.register(Outcome)
class OutcomeAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["__str__", "locate", "service", "outcome", "note"]
    list_filter: ClassVar = ["outcome"]
    list_select_related: ClassVar = ["locate", "service"]
    search_fields: ClassVar = ["locate__locate", "service__service"]
