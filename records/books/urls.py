"""Addresses of the books."""

from django.urls import path

from records.books import views

urlpatterns = [
    path("records/", views.index, name="books"),
    path("records/<slug:slug>.csv", views.book_csv, name="book_csv"),
    path("records/of/<slug:kind>/<path:key>/", views.of_kind, name="of_kind"),
    path("records/<slug:slug>/", views.book, name="book"),
    path("records/<slug:slug>/<str:key>/", views.one, name="leaf"),
    path("enter/<slug:slug>/", views.enter_page, name="enter"),
    path("enter/<slug:slug>/many/", views.many_page, name="many"),
    path("correct/<slug:slug>/<str:key>/", views.correct_page, name="correct"),
    path("correct/<slug:slug>/<str:key>/file/", views.add_file, name="add_file"),
    path("correct/<slug:slug>/<str:key>/file/<str:file>/strike/", views.strike_file, name="strike"),
    path("later/<slug:slug>/<str:key>/<slug:column>/", views.end_page, name="end"),
]
