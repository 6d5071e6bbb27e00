"""A small site around the outbox: two forms on a page, whose pieces become entries of the history and nothing else."""

from django.http import HttpResponse
from django.template import engines
from django.urls import path

from locates.fieldwork.receiving import clash, faulty, received
from records import clock, urls
from records.firm.actions import actor
from records.headers import keep_for
from records.ledger.actions import errand

PAGE = """{% extends "base.html" %}{% load static %}
{% block title %}Locate {{ sheet.sheet }}{% endblock %}
{% block scripts %}<script src="{% static 'pieces.js' %}" defer></script>{% endblock %}
{% block page %}<h1>Locate</h1>{% include "_waiting.html" %}
{% for what in kinds %}<form id="{{ what }}" method="post" action="/field/{{ sheet.sheet }}/{{ what }}/" enctype="multipart/form-data" data-piece class="slip">
{% csrf_token %}<h2>{{ what|capfirst }}</h2>
<label for="area-{{ what }}">Ground</label> <textarea class="form-control" id="area-{{ what }}" name="area" required></textarea>
<label for="picture-{{ what }}">Photograph</label> <input class="form-control" type="file" id="picture-{{ what }}" name="picture">
<button class="act" type="submit">Record the {{ what }}</button></form>{% endfor %}{% endblock %}"""


def page(request, key):
    shown = {"sheet": {"sheet": key}, "kinds": ("sweep", "trace")}
    return keep_for(request.user, HttpResponse(engines["django"].from_string(PAGE).render(shown, request)))


def piece(request, key, what):
    """Recorded as it is, but for ground that is called wrong, or theirs."""

    def do(receipt):
        area = request.POST["area"]
        if area == "wrong":
            return faulty({"area": ["three corners were expected"]})
        if area == "theirs" and not request.POST.get("anyway"):
            return clash("Somebody else recorded this ground since.", {"Ground": area}, {"Ground": "another"})
        told = {"area": area, "pictures": [file.size for file in request.FILES.values()]}
        with errand(actor(receipt.person), receipt.at) as underway:
            underway.write(f"{what}.created", what, str(key), area, receipt.happened, after=told)
            receipt.beside(f"The {what} is recorded.", f"/field/{key}/#{what}")(underway)
        return receipt.done(request)

    return received(request, clock.now(), do)


urlpatterns = [path("field/<uuid:key>/", page), path("field/<uuid:key>/<what>/", piece), *urls.urlpatterns]
