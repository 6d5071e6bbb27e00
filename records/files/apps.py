"""The app's name in the house."""

from django.apps import AppConfig


class FilesConfig(AppConfig):
    name = "records.files"
    label = "files"
