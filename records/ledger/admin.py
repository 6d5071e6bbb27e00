"""The history, newest first."""

from typing import ClassVar

from django.contrib import admin

from records.admin import ReadOnlyAdmin
from records.ledger.models import Entry


@admin.register(Entry)
class EntryAdmin(ReadOnlyAdmin):
    ordering: ClassVar = ["-seq"]
    list_display: ClassVar = ["seq", "recorded_at", "act", "label", "actor_name", "happened", "why"]
    list_filter: ClassVar = ["kind"]
    search_fields: ClassVar = ["subject_id", "label", "actor_id", "actor_name"]

    def told_of(self, record: Entry) -> tuple[str, str]:
        return record.kind, record.subject_id
