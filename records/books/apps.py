"""The app's name in the house."""

from django.apps import AppConfig


class BooksConfig(AppConfig):
    name = "records.books"
    label = "books"
