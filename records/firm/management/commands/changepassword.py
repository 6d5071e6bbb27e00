"""The framework's own command of this name would set a password without an entry in the history: this one stands before it."""

from records.firm.management.commands.set_password import Command

__all__ = ["Command"]
