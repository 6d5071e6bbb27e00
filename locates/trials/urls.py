"""Addresses of the pages on trial holes and plans."""

from django.urls import path

from locates.trials import views

urlpatterns = [
    path("agreement/", views.agreement, name="agreement"),
    path("agreement.csv", views.agreement_csv, name="agreement_csv"),
    path("to-report/", views.still_owed, name="still_owed"),
    path("to-report.csv", views.still_owed_csv, name="still_owed_csv"),
    path("locates/<str:locate>/plans/", views.plans, name="plans"),
    path("locates/<str:locate>/to-report/", views.to_report, name="to_report"),
    path("locates/<str:locate>/to-report.csv", views.to_report_csv, name="to_report_csv"),
]
