"""What works where there is no line: the worker between pages and line, with what pages are made of, and the page for what is not kept."""

import json
from fnmatch import fnmatch
from functools import cache
from hashlib import sha256

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import get_template
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

# what pages are made of: our own sheets and scripts, the vendored sheet and drawing board, and the letters of most names
MADE_OF = ("*.css", "*.js", "sketch/*.js", "*.svg", "*.webmanifest", "vendor/bootstrap/*.css", "vendor/alegreya/*latin*.woff2", "vendor/openlayers/ol.js")
SCRIPTS = ("kept.js", "worker.js")
PAGES = ("base.html", "no_line.html")


@cache
def shell() -> tuple[str, ...]:
    """The names of the static files that the worker keeps."""
    every = (name for finder in finders.get_finders() for name, _ in finder.list([]))
    return tuple(sorted({name for name in every if any(fnmatch(name, wanted) and name.count("/") == wanted.count("/") for wanted in MADE_OF)}))


@cache
def release() -> str:
    """The digest of all that the worker keeps of the site itself: another release has another."""
    read = sha256()
    for name in shell():
        with open(finders.find(name), "rb") as file:
            read.update(file.read())
    for name in PAGES:
        read.update(get_template(name).template.source.encode())
    return read.hexdigest()[:20]


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The worker for the whole site. Browsers ask for it again at every page, and take another release's at once."""
    says = {"RELEASE": release(), "SHELL": [static(name) for name in shell()], "NO_LINE": reverse("no_line")}
    text = "".join(f"const {name} = {json.dumps(value)};\n" for name, value in says.items())
    text += f"importScripts({', '.join(json.dumps(f'{static(name)}?{release()}') for name in SCRIPTS)});\n"
    return HttpResponse(text, content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"})


@login_not_required
@require_safe
def no_line(request: HttpRequest) -> HttpResponse:
    """The page that is shown for one that is not kept. It tells of nobody."""
    return render(request, "no_line.html")
