"""The registers as pages to read. Nothing is changed there: records come by register folders and by acts, each with its entry in the history."""

from typing import Any, ClassVar
from urllib.parse import urlencode

from django.contrib import admin
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

admin.site.site_header = admin.site.site_title = "Registers"
admin.site.index_title = "All that is on record, to read"


class ReadOnlyAdmin(admin.ModelAdmin):
    """Every column, to read. `hidden` columns are not shown; what may be seen at all is the model's `view` permission."""

    actions = None
    show_full_result_count = False
    list_per_page = 50
    ordering: ClassVar = ["pk"]
    hidden: ClassVar[tuple[str, ...]] = ()

    def has_add_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def lookup_allowed(self, lookup: str, value: str, request: HttpRequest) -> bool:
        # a hidden column must not be asked about either, letter by letter
        return lookup.split("__")[0] not in self.hidden and super().lookup_allowed(lookup, value, request)

    def get_object(self, request: HttpRequest, object_id: str, from_field: str | None = None) -> Model | None:
        # PostgreSQL takes no NUL in a text, not even to look for it
        return None if "\0" in object_id else super().get_object(request, object_id, from_field)

    def changelist_view(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        if any("\0" in asked for _, every in request.GET.lists() for asked in every):
            raise Http404
        return super().changelist_view(request, extra_context)

    def get_fields(self, request: HttpRequest, obj: Model | None = None) -> list[str]:
        columns = [one for one in (*self.opts.fields, *self.opts.many_to_many) if not one.auto_created]
        return [one.name for one in columns if one.name not in self.hidden]

    def get_readonly_fields(self, request: HttpRequest, obj: Model | None = None) -> list[str]:
        return self.get_fields(request, obj)

    def history_view(self, request: HttpRequest, object_id: str, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        """A record's history is what the ledger tells of it."""
        record = self.get_object(request, object_id)
        if record is None or not self.has_view_permission(request, record):
            raise Http404
        kind, name = self.told_of(record)
        return redirect(f"{reverse('admin:ledger_entry_changelist')}?{urlencode({'kind__exact': kind, 'subject_id__exact': name})}")

    def told_of(self, record: Model) -> tuple[str, str]:
        """How the history names the record: its kind, and its identifier or, where it has none of its own, what it is printed as."""
        return self.opts.model_name, record.pk if isinstance(record.pk, str) else str(record)
