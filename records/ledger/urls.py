"""Addresses of the history."""

from django.urls import path

from records.ledger import views

urlpatterns = [
    path("history/", views.history, name="history"),
    path("history.csv", views.history_csv, name="history_csv"),
    path("history/<int:seq>/", views.entry, name="entry"),
]
