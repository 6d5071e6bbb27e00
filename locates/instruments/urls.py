"""Addresses of the instruments' own pages."""

from django.urls import path

from locates.instruments import views

urlpatterns = [path("check/<str:instrument>/", views.check, name="check")]
