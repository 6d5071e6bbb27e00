"""The app's name in the house."""

from django.apps import AppConfig


class FirmConfig(AppConfig):
    name = "records.firm"
    label = "firm"
