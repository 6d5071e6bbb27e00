"""The app's name in the house."""

from django.apps import AppConfig


class PapersConfig(AppConfig):
    name = "locates.papers"
    label = "papers"
