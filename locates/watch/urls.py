"""Addresses of what is told ahead."""

from django.urls import path

from locates.watch import views

urlpatterns = [
    path("told-ahead/", views.arranged, name="told_ahead"),
    path("account/told-ahead/", views.to_me, name="told_ahead_to_me"),
]
