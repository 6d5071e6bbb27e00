"""The app's name in the house."""

from django.apps import AppConfig


class PermitsConfig(AppConfig):
    name = "locates.permits"
    label = "permits"
