"""Addresses of first pages and of people's own dates."""

from django.urls import path

from locates.desks import views

urlpatterns = [
    path("", views.home, name="home"),
    path("phone/", views.phone, name="phone"),
    path("phone/take.json", views.phone_take, name="phone_take"),
    path("mine/", views.mine, name="mine"),
    path("mine/competence.pdf", views.competence, name="competence"),
    path("mine/calendar/", views.feed_made, name="feed_made"),
    path("mine/calendar/end/", views.feed_ended, name="feed_ended"),
    path("instruments-due/", views.kit_due, name="kit_due"),
    path("instruments-due.csv", views.kit_due_csv, name="kit_due_csv"),
    path("answers-due/", views.answers_due, name="answers_due"),
    path("answers-due.csv", views.answers_due_csv, name="answers_due_csv"),
    path("people/<str:person>/dates/", views.dates, name="dates"),
    path("people/<str:person>/competence.pdf", views.competence, name="competence_of"),
    path("feed/<str:key>.ics", views.feed, name="feed"),
]
