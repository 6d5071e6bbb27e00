"""Addresses of the grids' own pages."""

from django.urls import path

from locates.grids import views

urlpatterns = [path("grids/<str:site>/", views.grid, name="grid"), path("grids/<str:site>/track/", views.track, name="track")]
