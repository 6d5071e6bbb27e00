"""A file, for whoever may see the record that it belongs to."""

import logging

from django.conf import settings
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.http import content_disposition_header
from django.utils.module_loading import import_string
from django.views.decorators.http import require_safe

from records import clock
from records.files.models import Attachment
from records.files.store import intact, place

log = logging.getLogger(__name__)
GONE = 410


@require_safe
def file(request: HttpRequest, key: str) -> HttpResponse:
    """The content, to keep and not to run; looked at before it is given."""
    found = get_object_or_404(Attachment, key=key.replace("\0", ""))
    if not import_string(settings.FILES_GATEKEEPER)(found.kind, found.subject, request.user, clock.now()):
        raise Http404
    if not intact(found.sha256):
        log.error("file %s is gone or not what it was", found.key)
        return render(request, "files/gone.html", {"file": found}, status=GONE)
    response = FileResponse(place(found.sha256).open("rb"), content_type=found.media_type)
    told = {
        "Content-Disposition": content_disposition_header(True, found.name) or "attachment",
        "Content-Security-Policy": "sandbox; default-src 'none'",
        "Cache-Control": "private, no-store",
    }
    for name, value in told.items():
        response.headers[name] = value
    return response
