"""The site's table of contents."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("registers/", admin.site.urls),
    path("", include("locates.permits.urls")),
]
