"""The app's name in the house."""

from django.apps import AppConfig


class LifeConfig(AppConfig):
    name = "locates.life"
    label = "life"
