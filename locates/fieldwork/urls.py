"""The addresses of field work."""

from django.urls import path

from locates.fieldwork.views import laying, pages

urlpatterns = [
    path("field/", pages.field, name="field"),
    path("field/begin/<site>/", pages.begin, name="begin_locate"),
    path("field/of/<locate>/", pages.field_of, name="field_of"),
    path("field/<key>/", pages.locating, name="locating"),
    path("field/<key>/sketch.json", pages.sketch, name="sketch"),
    path("field/<key>/ground/", pages.ground, name="ground"),
    path("field/<key>/underlay/", laying.underlay, name="underlay"),
    path("field/<key>/underlay/lies.webp", laying.underlay_picture, name="underlay_picture"),
    path("field/<key>/underlay/<picture>.webp", laying.picture_to_touch, name="picture_to_touch"),
    path("field/<key>/finish/", pages.finishing, name="finish_locate"),
    path("field/<key>/<what>/", pages.piece, name="piece"),
]
