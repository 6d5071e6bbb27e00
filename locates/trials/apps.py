"""The app's name in the house."""

from django.apps import AppConfig


class TrialsConfig(AppConfig):
    name = "locates.trials"
    label = "trials"
