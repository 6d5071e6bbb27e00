"""The app's name in the house."""

from django.apps import AppConfig


class GridsConfig(AppConfig):
    name = "locates.grids"
    label = "grids"
