"""Addresses of logs and layouts."""

from django.urls import path

from locates.logs.views import intake, pages

urlpatterns = [
    path("logs/", pages.logs, name="logs"),
    path("logs.csv", pages.logs_csv, name="logs_csv"),
    path("logs/add/<str:locate>/", intake.add, name="add_log"),
    path("logs/add/<str:locate>/map/", intake.map_columns, name="map_log"),
    path("logs/add/<str:locate>/read/", intake.read_log, name="read_log"),
    path("logs/<str:log>/", pages.log, name="log"),
    path("layouts/", pages.layouts, name="layouts"),
    path("layouts/<str:layout>/", pages.layout, name="layout"),
    path("layouts/<str:layout>/rename/", pages.rename_layout, name="rename_layout"),
    path("layouts/<str:layout>/retire/", pages.retire_layout, name="retire_layout"),
]
