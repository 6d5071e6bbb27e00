"""Addresses of recalls."""

from django.urls import path

from locates.recall import views

urlpatterns = [
    path("recalls/", views.recalls, name="recalls"),
    path("recalls.csv", views.recalls_csv, name="recalls_csv"),
    path("recalls/<slug:kind>/<str:key>/", views.recall, name="recall"),
    path("recalls/<slug:kind>/<str:key>/list.csv", views.recall_csv, name="recall_csv"),
    path("recalls/<slug:kind>/<str:key>/list.pdf", views.recall_pdf, name="recall_pdf"),
    path("recalls/<slug:kind>/<str:key>/suspend/", views.suspend_now, name="suspend_live"),
    path("recalls/<slug:kind>/<str:key>/decide/", views.decide_now, name="decide"),
]
