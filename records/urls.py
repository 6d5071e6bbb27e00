"""The site's table of contents."""

from django.contrib.auth.decorators import login_not_required
from django.templatetags.static import static
from django.urls import include, path
from django.views.generic import RedirectView

from records.looks import choose_light
from records.worker import no_line, worker

urlpatterns = [
    # browsers ask for it beside a paper, which names none
    path("favicon.ico", login_not_required(RedirectView.as_view(url=static("mark.svg")))),
    path("light/", choose_light, name="light"),
    path("sw.js", worker, name="worker"),
    path("no-line/", no_line, name="no_line"),
    path("", include("records.ledger.urls")),
    path("", include("records.firm.urls")),
    path("", include("records.letters.urls")),
    path("", include("records.files.urls")),
    path("", include("records.books.urls")),
    path("", include("training.urls")),
    path("", include("locates.grids.urls")),
    path("", include("locates.instruments.urls")),
    path("", include("locates.permits.urls")),
    path("", include("locates.life.urls")),
    path("", include("locates.papers.urls")),
    path("", include("locates.recall.urls")),
    path("", include("locates.logs.urls")),
    path("", include("locates.trials.urls")),
    path("", include("locates.fieldwork.urls")),
    path("", include("locates.lookovers.urls")),
    path("", include("locates.desks.urls")),
    path("", include("locates.watch.urls")),
]
