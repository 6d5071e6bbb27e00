"""Addresses of a permit's life."""

from django.urls import path

from locates.life import views

urlpatterns = [
    path("permits/<str:permit>/steps/<slug:act>/", views.step_page, name="step"),
    path("permits/<str:permit>/stop/", views.stop_now, name="stop"),
]
