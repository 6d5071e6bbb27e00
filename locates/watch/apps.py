"""The app's name in the house."""

from django.apps import AppConfig


class WatchConfig(AppConfig):
    name = "locates.watch"
    label = "watch"
