"""The app's name in the house."""

from django.apps import AppConfig


class LogsConfig(AppConfig):
    name = "locates.logs"
    label = "logs"
