"""The app's name in the house."""

from django.apps import AppConfig


class LettersConfig(AppConfig):
    name = "records.letters"
    label = "letters"
