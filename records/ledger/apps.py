"""The app's name in the house."""

from django.apps import AppConfig


class LedgerConfig(AppConfig):
    name = "records.ledger"
    label = "ledger"
