"""Addresses of cover."""

from django.urls import path

from training import views

urlpatterns = [
    path("cover/", views.matrix, name="cover"),
    path("cover.csv", views.matrix_csv, name="cover_csv"),
    path("cover.pdf", views.matrix_pdf, name="cover_pdf"),
    path("cover/ahead/", views.ahead, name="ahead"),
    path("cover/ahead.csv", views.ahead_csv, name="ahead_csv"),
    path("cover/ahead.pdf", views.ahead_paper, name="ahead_pdf"),
    path("cover/stand-ins/<str:person>/", views.stand_in, name="stand_in"),
]
