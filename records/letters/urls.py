"""The page of letters."""

from django.urls import path

from records.letters import views

urlpatterns = [path("letters/", views.page, name="letters")]
