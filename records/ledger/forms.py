"""What of the history to show. Sent by GET, so that the address can be kept and shared."""

from typing import Any

from django import forms

from records.forms import laid_out


class HistoryForm(forms.Form):
    """Entries about what, by whom, doing what, and when."""

    kind = forms.ChoiceField(label="About a", required=False)
    subject = forms.CharField(label="Its identifier", required=False, max_length=200)
    actor = forms.CharField(label="By", required=False, max_length=200, help_text="An identifier, or part of a name.")
    act = forms.CharField(label="Act", required=False, max_length=60, help_text="A word of it, such as sign or changed.")
    since = forms.DateField(label="From", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    through = forms.DateField(label="Through", required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, kinds: list[str], **given: Any) -> None:
        super().__init__(**given)
        self.fields["kind"].choices = [("", "anything"), *((one, one) for one in kinds)]
        self.helper = laid_out()

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return {name: value.replace("\0", "") if isinstance(value, str) else value for name, value in self.cleaned_data.items() if value}

    def narrowed(self) -> bool:
        return bool(self.errors or self.chosen())
