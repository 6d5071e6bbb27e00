"""The app's name in the house."""

from django.apps import AppConfig


class DesksConfig(AppConfig):
    name = "locates.desks"
    label = "desks"
