"""Forms of permits: what of the list to show."""

from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from locates.permits.since import states
from records.books.fields import ManyField, MomentField, SketchWidget
from records.firm.models import Person, Site
from records.forms import laid_out
from records.rules.columns import METRES
from records.rules.corners import listed
from records.rules.kinds import UTC_ZONE
from records.rules.text import Unfit
from records.rules.trench import given
from records.rules.words import METHODS, spoken

VERDICTS = {"clear": "no block", "blocked": "not to dig"}
SORTS = {"": "today first", "permit": "permit", "site": "site", "begins": "begins soonest", "ends": "ends soonest", "latest": "begins latest"}


def offered(words: dict[str, str], blank: str) -> list[tuple[str, str]]:
    return [("", blank), *words.items()]


class ShowForm(forms.Form):
    """Which permits to show, and in which order. Sent by GET, so that the address can be kept and shared."""

    search = forms.CharField(label="Find", required=False, max_length=200, widget=forms.TextInput(attrs={"type": "search"}))
    site = forms.ModelChoiceField(label="Site", queryset=Site.objects.none(), required=False, empty_label="every site")
    state = forms.ChoiceField(label="How it stands", required=False)
    verdict = forms.ChoiceField(label="Verdict", choices=offered(VERDICTS, "any"), required=False, help_text="Of permits whose time is not over.")
    sort = forms.ChoiceField(label="Order", choices=list(SORTS.items()), required=False)
    noted = forms.BooleanField(label="Only those that were stopped, suspended or ended early", required=False)

    urgent = forms.BooleanField(label="Only emergency work", required=False)

    def __init__(self, sites: QuerySet[Site], **begun: Any) -> None:
        super().__init__(**begun)
        self.fields["site"].queryset = sites
        self.fields["site"].label_from_instance = lambda site: site.name
        self.fields["state"].choices = offered({name: state.says for name, state in states().items()}, "any")
        self.fields["search"].help_text = "Permit, work, site, locate or a person’s name."
        self.helper = laid_out()

    def chosen(self) -> dict[str, Any]:
        """What was asked for and could be understood; the rest is said at its field."""
        self.is_valid()
        return self.cleaned_data

    def narrowed(self) -> bool:
        return any(value for name, value in self.chosen().items() if name != "sort")


class SignForm(forms.Form):
    """The password again: with the open session it shows who signs."""

    password = forms.CharField(label="Your password", strip=False, max_length=4096, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}))

    def __init__(self, person: Person, *, twofold: bool = False, **begun: Any) -> None:
        super().__init__(**begun)
        self.person = person
        if twofold:
            self.fields["code"] = forms.CharField(label="Code", max_length=20, widget=forms.TextInput(attrs={"autocomplete": "one-time-code"}))
            self.fields["code"].help_text = "The six digits that your phone shows now, or one of your recovery codes."
        self.helper = laid_out()

    def clean_password(self) -> str:
        if not self.person.check_password(self.cleaned_data["password"]):
            raise ValidationError("That is not your password. Nothing was signed.")
        return ""


Offered = list[tuple[str, str]]


class PrepareForm(forms.Form):
    """A permit in preparation. `offered`: by field, the locates and people that may be chosen, each with its words; what may not be is told beside."""

    site = forms.ChoiceField(label="Site")
    permit = forms.CharField(
        label="Permit", help_text="Its number, as the firm numbers its permits.", strip=False, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    work = forms.CharField(label="The work", help_text="What is dug, where, and what for.", widget=forms.Textarea(attrs={"rows": 2}))
    locate = forms.ChoiceField(label="Locate", required=False)
    outline = forms.CharField(
        label="Outline of the dig",
        help_text="Corners in the site’s metre grid, x and y, one a line. With a width beneath: the points along the middle of a trench.",
        widget=SketchWidget("polygon", width="id_width", attrs={"rows": 4}),
    )
    width = forms.CharField(label="Trench width, metres", required=False, widget=forms.TextInput(attrs={"inputmode": "decimal"}))
    depth_m = forms.CharField(label="Depth, metres", widget=forms.TextInput(attrs={"inputmode": "decimal"}))
    method = forms.ChoiceField(label="Method", choices=[(word, spoken(word)) for word in METHODS], widget=forms.RadioSelect)
    issuer = forms.ChoiceField(label="Issuer")
    receiver = forms.ChoiceField(label="Receiver")
    crew = ManyField(label="Crew", required=False)

    def __init__(self, sites: Offered, offered: dict[str, Offered], zone: ZoneInfo | None, *, fixed: bool = False, **begun: Any) -> None:
        super().__init__(**begun)
        self.fields["site"].choices = sites if len(sites) == 1 else [("", "choose"), *sites]
        self.fields["locate"].choices = [("", "none yet"), *offered.get("locate", [])]
        for name in ("issuer", "receiver"):
            self.fields[name].choices = [("", "choose"), *offered.get(name, [])]
        self.fields["crew"].choices = offered.get("crew", [])
        for name, label in (("valid_from", "Begins"), ("valid_to", "Ends")):
            clock = f"By the clock of {zone.key}." if zone else "By the site’s own clock."
            self.fields[name] = MomentField(zone or UTC_ZONE, label=label, help_text=clock)
        if fixed:
            del self.fields["permit"]
        self.helper = laid_out()

    def clean(self) -> dict[str, Any]:
        """The outline as the register keeps it: the corners, or the trench about the points."""
        cleaned = super().clean()
        width = self._width(cleaned.get("width", ""))
        if "outline" in cleaned and "width" not in self.errors:
            try:
                cleaned["outline"] = given(cleaned["outline"], width)
            except Unfit as fault:
                self.add_error("outline", f"{fault}.")
        return cleaned

    def _width(self, text: str) -> Decimal | None:
        try:
            return METRES.read(text.strip()) if text.strip() else None
        except Unfit as fault:
            self.add_error("width", str(fault))
            return None

    def cells(self) -> dict[str, str]:
        """The cells of the permit's row that could be made out so far; blank where they could not."""
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields if name != "width"}


def as_typed(row: dict[str, Any]) -> dict[str, Any]:
    """A stored permit as the form shows it."""
    return row | {"outline": listed(row["outline"])}
