"""The app's name in the house."""

from django.apps import AppConfig


class SurveysConfig(AppConfig):
    name = "locates.surveys"
    label = "surveys"
