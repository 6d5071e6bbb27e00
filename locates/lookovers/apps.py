"""The app's name in the house."""

from django.apps import AppConfig


class LookoversConfig(AppConfig):
    name = "locates.lookovers"
    label = "lookovers"
