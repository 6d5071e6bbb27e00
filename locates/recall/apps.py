"""The app's name in the house."""

from django.apps import AppConfig


class RecallConfig(AppConfig):
    name = "locates.recall"
    label = "recall"
