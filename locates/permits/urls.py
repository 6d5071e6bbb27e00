"""Addresses of the permit pages."""

from django.urls import include, path

from locates.permits import views

ONE_PERMIT = [
    path("", views.permit, name="permit"),
    path("change/", views.change, name="change_permit"),
    path("paper.pdf", views.paper, name="permit_pdf"),
    path("follow-up/", views.follow_up, name="follow_up"),
    path("sign/", views.sign_page, name="sign"),
    path("signed/<slug:meaning>/", views.signed, name="signed"),
    path("signed/<slug:meaning>/paper.pdf", views.signed_paper, name="signed_pdf"),
]

urlpatterns = [
    path("permits/", views.permits, name="permits"),
    path("prepare/", views.prepare, name="prepare"),
    path("permits.csv", views.permits_csv, name="permits_csv"),
    path("permits/<str:permit>/", include(ONE_PERMIT)),
    path("before-you-dig/", views.notice, name="notice"),
]
