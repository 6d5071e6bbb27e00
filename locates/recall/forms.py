"""What is asked of whoever decides: what of, what, and why."""

from typing import Any

from django import forms

from locates.recall.actions import Ruling
from locates.recall.rules.decided import DECISIONS, SAID
from locates.recall.rules.reach import LOCATE, PERMIT
from records.forms import laid_out


class DecideForm(forms.Form):
    """The decision and its reason. Of which locates and permits, the marks beside them say."""

    decided = forms.ChoiceField(label="Decision", choices=[(one, SAID[one]) for one in DECISIONS], widget=forms.RadioSelect)
    why = forms.CharField(label="Why", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, **begun: Any) -> None:
        super().__init__(**begun)
        self.fields["why"].help_text = "What was looked at, who was told, and what is to be done. It stays on record; a later decision takes its place."
        self.helper = laid_out()

    def ruling(self, marked: list[str]) -> Ruling:
        """What is decided. `marked`: the locates and permits, each as `permit:NAME`."""
        pairs = [one.partition(":") for one in marked]
        subjects = frozenset((kind, key) for kind, _, key in pairs if kind in (LOCATE, PERMIT))
        return Ruling(subjects, self.cleaned_data["decided"], self.cleaned_data["why"])
