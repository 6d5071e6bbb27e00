"""The site's table of contents."""

from django.contrib import admin
from django.contrib.auth.decorators import login_not_required
from django.templatetags.static import static
from django.urls import include, path
from django.views.generic import RedirectView

from records.firm.views.door import one_door, password, sign_out

urlpatterns = [
    # the registers' own doors would stand beside the throttle and outside the history
    path("registers/login/", one_door),
    path("registers/logout/", sign_out),
    path("registers/password_change/", password),
    path("registers/", admin.site.urls),
    # browsers ask for it beside a paper, which names none
    path("favicon.ico", login_not_required(RedirectView.as_view(url=static("mark.svg")))),
    path("", include("records.firm.urls")),
    path("", include("records.files.urls")),
    path("", include("records.books.urls")),
    path("", include("training.urls")),
    path("", include("locates.instruments.urls")),
    path("", include("locates.permits.urls")),
    path("", include("locates.desks.urls")),
]
