"""Permits and the signatures upon them, to read."""

from typing import ClassVar

from django.contrib import admin

from locates.permits.models import Permit, SignOff
from locates.permits.witness import KIND
from records.admin import ReadOnlyAdmin


@admin.register(Permit)
class PermitAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["permit", "site", "locate", "method", "valid_from", "valid_to", "issuer", "receiver"]
    list_filter: ClassVar = ["site", "method"]
    list_select_related: ClassVar = ["site", "locate", "issuer", "receiver"]
    search_fields: ClassVar = ["permit", "work", "locate__locate"]


@admin.register(SignOff)
class SignOffAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["__str__", "permit", "meaning", "printed_name", "signed_at", "digest"]
    list_filter: ClassVar = ["meaning"]
    list_select_related: ClassVar = ["permit"]
    search_fields: ClassVar = ["permit__permit", "printed_name", "digest"]

    def told_of(self, record: SignOff) -> tuple[str, str]:
        return KIND, record.permit_id
