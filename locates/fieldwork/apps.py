"""The app's name in the house."""

from django.apps import AppConfig


class FieldworkConfig(AppConfig):
    name = "locates.fieldwork"
    label = "fieldwork"
