"""Addresses of the pages on trial holes and plans."""

from django.urls import path

from locates.trials import views

urlpatterns = [
    path("agreement/", views.agreement, name="agreement"),
    path("agreement.csv", views.agreement_csv, name="agreement_csv"),
]
