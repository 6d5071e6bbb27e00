"""Courses and awards, to read."""

from typing import ClassVar

from django.contrib import admin

from records.admin import ReadOnlyAdmin
from training.models import Award, Course


@admin.register(Course)
class CourseAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["course", "title", "valid_months", "authorises"]
    search_fields: ClassVar = ["course", "title"]


@admin.register(Award)
class AwardAdmin(ReadOnlyAdmin):
    list_display: ClassVar = ["award", "person", "course", "awarded_on", "expires_on", "withdrawn_on"]
    list_filter: ClassVar = ["course"]
    list_select_related: ClassVar = ["person", "course"]
    search_fields: ClassVar = ["award", "person__person", "person__name", "certificate_no"]
