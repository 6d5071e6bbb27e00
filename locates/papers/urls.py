"""Addresses of issued papers; the last two stand on the papers themselves, and are short."""

from django.urls import path

from locates.papers import views

urlpatterns = [
    path("permits/<str:permit>/print/", views.print_paper, name="print_paper"),
    path("permits/<str:permit>/papers/<int:version>.pdf", views.issued_paper, name="issued_paper"),
    path("p/<str:key>/", views.look_up, name="look_up"),
    path("p/<str:key>/<str:mark>/", views.look_up, name="look_up_paper"),
]
