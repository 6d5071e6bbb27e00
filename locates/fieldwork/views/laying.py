"""The page on which a picture is laid under the sketch: its points are touched one after the other, and nothing is kept until it is laid."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import http_date, quote_etag
from django.views.decorators.http import require_http_methods, require_safe

from locates.fieldwork import underlays
from locates.fieldwork.actions import bring, lay, take_away
from locates.fieldwork.forms import PictureForm, PointForm
from locates.fieldwork.models import FieldSheet, Underlay
from locates.fieldwork.views.pages import allowed, kept
from locates.grids.raster import shrunk, upright_size
from records import clock
from records.files.models import Attachment
from records.rules.text import Unfit

UNFIT = 422
A_WHILE = "private, max-age=3600"


@require_http_methods(["GET", "POST"])
def underlay(request: HttpRequest, key: str) -> HttpResponse:
    """Choose or bring a picture, touch the points that are known, look at what speaks against it, and lay it."""
    at = clock.now()
    row = allowed(request, key, at)
    if request.method == "GET":
        chosen = _picture(row, request.GET.get("picture", ""))
        return _page(request, row, chosen) if chosen is None else _points(request, row, chosen, "")
    do = request.POST.get("do", "")
    if do == "bring":
        return _brought(request, row, at)
    if do == "away":
        take_away(row, request.user, at)
        messages.success(request, "The picture is taken away. The history keeps where it lay.")
        return redirect("underlay", row.pk)
    chosen = _picture(row, request.POST.get("picture", ""))
    if chosen is None:
        raise Http404
    return _laid(request, row, chosen, at) if do == "lay" else _touched(request, row, chosen)


def _picture(row: FieldSheet, key: str) -> Attachment | None:
    return next((one for one in underlays.pictures(row) if one.key == key), None)


def _page(request: HttpRequest, row: FieldSheet, chosen: Attachment | None, form: PictureForm | None = None, status: int | None = None) -> HttpResponse:
    shown = {"sheet": row, "locate": row.locate, "pictures": underlays.pictures(row), "form": form or PictureForm(), "chosen": chosen}
    return render(request, "fieldwork/underlay.html", shown | {"lies": Underlay.objects.filter(locate=row.locate).exists()}, status=status)


def _brought(request: HttpRequest, row: FieldSheet, at: datetime) -> HttpResponse:
    form = PictureForm(data=request.POST, files=request.FILES)
    if form.is_valid():
        try:
            upright_size(form.cleaned_data["picture"].read())
            form.cleaned_data["picture"].seek(0)
        except Unfit as fault:
            form.add_error("picture", f"{fault}.")
    if not form.is_valid():
        return _page(request, row, None, form, UNFIT)
    made = bring(row, form.cleaned_data["picture"], request.user, at)
    return redirect(f"{request.path}?picture={made.key}")


def _touched(request: HttpRequest, row: FieldSheet, chosen: Attachment) -> HttpResponse:
    """A place in the picture was touched, a point was added, or the last was taken back."""
    points = _told(request)
    if "at.x" in request.POST:
        width, _ = upright_size(underlays.content(chosen))
        share = width / min(width, underlays.SHOWN_WIDE)
        start = {name: f"{float(request.POST[f'at.{axis}'] or 0) * share:.0f}" for name, axis in (("col", "x"), ("row", "y"))}
        return _points(request, row, chosen, points, PointForm(initial=start))
    if request.POST.get("do") == "back":
        return _points(request, row, chosen, "\n".join(points.splitlines()[:-1]))
    form = PointForm(data=request.POST)
    if not form.is_valid():
        return _points(request, row, chosen, points, form, UNFIT)
    return _points(request, row, chosen, f"{points}\n{form.line()}".strip())


def _told(request: HttpRequest) -> str:
    return "\n".join(line.strip() for line in request.POST.get("points", "")[:2000].splitlines() if line.strip())


def _points(request: HttpRequest, row: FieldSheet, chosen: Attachment, points: str, form: PointForm | None = None, status: int | None = None) -> HttpResponse:
    told: dict[str, Any] = {"sheet": row, "locate": row.locate, "chosen": chosen, "points": points, "form": form or PointForm()}
    try:
        width, height = upright_size(underlays.content(chosen))
        shown = min(width, underlays.SHOWN_WIDE)
        told |= {"wide": shown, "high": round(height * shown / width), "known": underlays.known(points)}
        told |= {"laid": underlays.judged(chosen, told["known"])} if len(told["known"]) > 1 else {}
    except Unfit as fault:
        told["unfit"] = str(fault)
    return render(request, "fieldwork/underlay_points.html", told, status=status)


def _laid(request: HttpRequest, row: FieldSheet, chosen: Attachment, at: datetime) -> HttpResponse:
    try:
        lay(row, chosen, _told(request), request.user, at)
    except Unfit:
        return _points(request, row, chosen, _told(request), status=UNFIT)
    messages.success(request, f"{chosen.name} lies under the sketch now.")
    return redirect("locating", row.pk)


@require_safe
def underlay_picture(request: HttpRequest, key: str) -> HttpResponse:
    """The picture as it lies, north up."""
    row = allowed(request, key, clock.now())
    stored = Underlay.objects.filter(locate=row.locate).first()
    made = underlays.raster(stored) if stored is not None else None
    if made is None:
        raise Http404
    headers = {"Cache-Control": A_WHILE, "ETag": quote_etag(underlays.mark(stored)), "Last-Modified": http_date(stored.recorded_at.timestamp())}
    return kept(request, row, HttpResponse(made.content, content_type="image/webp", headers=headers))


@require_safe
def picture_to_touch(request: HttpRequest, key: str, picture: str) -> HttpResponse:
    """A picture that may be laid, upright and small."""
    chosen = _picture(allowed(request, key, clock.now()), picture)
    if chosen is None:
        raise Http404
    return HttpResponse(shrunk(underlays.content(chosen), underlays.SHOWN_WIDE)[0], content_type="image/webp", headers={"Cache-Control": A_WHILE})
