"""The form of a check: what it showed."""

from typing import Any

from django import forms

from records.forms import laid_out
from records.rules.words import CHECK_RESULTS


class CheckForm(forms.Form):
    """The result is the button that is pressed; a note may go with it."""

    result = forms.ChoiceField(choices=[(word, word) for word in CHECK_RESULTS], widget=forms.HiddenInput)
    note = forms.CharField(label="Note", required=False, max_length=2000, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    note.help_text = "Over what it was tried, and what it showed. It may be left blank."

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()
