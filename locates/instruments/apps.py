"""The app's name in the house."""

from django.apps import AppConfig


class InstrumentsConfig(AppConfig):
    name = "locates.instruments"
    label = "instruments"
