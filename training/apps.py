"""The app's name in the house."""

from django.apps import AppConfig


class TrainingConfig(AppConfig):
    name = "training"
    label = "training"
