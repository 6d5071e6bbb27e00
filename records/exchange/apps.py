"""The app's name in the house."""

from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    name = "records.exchange"
    label = "exchange"
