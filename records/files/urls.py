"""Addresses of files."""

from django.urls import path

from records.files import views

urlpatterns = [path("files/<str:key>/", views.file, name="file")]
