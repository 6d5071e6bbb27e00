"""The registers of all apps, in the order in which a folder is loaded."""

from functools import cache
from importlib import import_module
from types import ModuleType

from django.conf import settings
from django.db.models import Model

from records.tables import Check, Footing, Reading, Table


def _registers() -> list[ModuleType]:
    return [import_module(f"{app}.registers") for app in settings.REGISTER_APPS]


@cache
def tables() -> dict[str, Table]:
    """Every register by its file's name, in the format's order."""
    return {table.file: table for module in _registers() for table in module.TABLES}


@cache
def footings(file: str) -> tuple[Footing, ...]:
    """What may rest on the records of a register."""
    return tuple(footing for module in _registers() for footing in module.FOOTINGS if footing.file == file)


@cache
def readings() -> tuple[Reading, ...]:
    """What is exported for reading alone."""
    return tuple(reading for module in _registers() for reading in module.READINGS)


@cache
def checks(file: str) -> tuple[Check, ...]:
    """What is to be checked again where records of a register change."""
    return tuple(check for module in _registers() for check in module.CHECKS if check.file == file)


@cache
def file_of(model: type[Model]) -> str:
    """The register in which records of the model travel; the model's own name where there is none."""
    return next((table.file for table in tables().values() if table.model is model), model._meta.label)
