"""The app's name in the house."""

from django.apps import AppConfig


class OwnersConfig(AppConfig):
    name = "locates.owners"
    label = "owners"
