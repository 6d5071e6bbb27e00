"""The addresses of field work."""

from django.urls import path

from locates.fieldwork import views

urlpatterns = [
    path("field/", views.field, name="field"),
    path("field/begin/<site>/", views.begin, name="begin_locate"),
    path("field/of/<locate>/", views.field_of, name="field_of"),
    path("field/<key>/", views.locating, name="locating"),
    path("field/<key>/sketch.json", views.sketch, name="sketch"),
    path("field/<key>/ground/", views.ground, name="ground"),
    path("field/<key>/finish/", views.finishing, name="finish_locate"),
    path("field/<key>/<what>/", views.piece, name="piece"),
]
