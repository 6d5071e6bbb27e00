"""The site's table of contents."""

from django.contrib import admin
from django.urls import include, path

from records.firm.views import one_door, password, sign_out

urlpatterns = [
    # the registers' own doors would stand beside the throttle and outside the history
    path("registers/login/", one_door),
    path("registers/logout/", sign_out),
    path("registers/password_change/", password),
    path("registers/", admin.site.urls),
    path("", include("records.firm.urls")),
    path("", include("locates.permits.urls")),
]
