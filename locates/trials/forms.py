"""Of which trial holes the agreement is told. Sent by GET, so that the address can be kept and shared."""

from collections.abc import Iterable
from typing import Any

from django import forms

from records.forms import laid_out
from records.rules.words import UTILITIES, spoken

ANY = ("", "any")


class OwedForm(forms.Form):
    """Of which site."""

    site = forms.ChoiceField(label="Of which site", required=False)

    def __init__(self, sites: Iterable[tuple[str, str]], **given: Any) -> None:
        super().__init__(**given)
        self.fields["site"].choices = [("", "every site"), *sites]
        self.helper = laid_out()

    def chosen(self) -> str:
        """The site asked for, if it is one of them; else it is said at the field."""
        self.is_valid()
        return self.cleaned_data.get("site", "")


class AgreementForm(forms.Form):
    """By receiver, by operator, by what was exposed."""

    instrument = forms.ChoiceField(label="Receiver", required=False)
    operator = forms.ChoiceField(label="Operator", required=False)
    utility = forms.ChoiceField(label="Utility", required=False, choices=[ANY, *((one, spoken(one)) for one in UTILITIES)])

    def __init__(self, instruments: Iterable[tuple[str, str]], operators: Iterable[tuple[str, str]], **given: Any) -> None:
        super().__init__(**given)
        self.fields["instrument"].choices = [ANY, *instruments]
        self.fields["operator"].choices = [ANY, *operators]
        self.helper = laid_out()

    def chosen(self) -> dict[str, str]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}

    def narrowed(self) -> bool:
        return bool(self.errors) or bool(self.chosen())
