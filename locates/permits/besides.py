"""What is prepared beside a permit and goes into registers of its own with it: the permit that it follows, and that it is for emergency work."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from locates.permits import among, models
from locates.permits.models import Following, Permit
from locates.permits.rules.evidence import Before, Emergency, Person
from locates.permits.rules.following import Change, changes
from records.books.fields import MomentField, local_text
from records.exchange.entering import Sheet
from records.exchange.scratch import Problem
from records.firm.models import Site
from records.forms import laid_out
from records.rules.columns import INSTANT
from records.rules.text import Unfit

MOST_PERMITS = 40
FOLLOWS, OWED = "follows", "owed"


class BesideForm(forms.Form):
    """A row of a register that goes with the permit, or none. `COLUMNS`: by field the column that it fills; `STARTERS`: fields of which any one asks for a row.

    `stays`: there is one on record, which is put right here and does not go.
    """

    FILE: ClassVar[str] = ""
    COLUMNS: ClassVar[dict[str, str]] = {}
    STARTERS: ClassVar[tuple[str, ...]] = ()

    def __init__(self, *, stays: bool = False, **begun: Any) -> None:
        super().__init__(**begun)
        self.stays = stays
        self.helper = laid_out()

    @property
    def wanted(self) -> bool:
        """Is there to be a row?"""
        return self.stays or any(self.typed(name) for name in self.STARTERS)

    def typed(self, name: str) -> str:
        return ((self.data.get(name) if self.is_bound else self.initial.get(name)) or "").replace("\0", "").strip()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.wanted:
            for name in self.COLUMNS:
                if name not in self.errors and not cleaned.get(name):
                    self.add_error(name, ValidationError("This is owed too.", code=OWED))
        return cleaned

    def row(self, permit: str) -> dict[str, str]:
        return {"permit": permit, **{column: self.cleaned_data[name] for name, column in self.COLUMNS.items()}}

    def say(self, problems: Iterable[Problem]) -> None:
        """Put what is wrong at its field."""
        fields = {column: name for name, column in self.COLUMNS.items()}
        for problem in problems:
            if problem.file == self.FILE:
                self.add_error(fields.get(problem.column), problem.says)


class FollowForm(BesideForm):
    """The permit that this one follows. `permits`: those of the site that could be."""

    FILE = "followings.csv"
    STARTERS = (FOLLOWS,)
    COLUMNS: ClassVar = {FOLLOWS: "follows", "follows_why": "why", "follows_changed": "changed"}

    follows = forms.ChoiceField(label="Follows permit", required=False)
    follows_why = forms.CharField(label="Why a new permit", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    follows_changed = forms.CharField(label="What is different in it", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, permits: list[tuple[str, str]], **begun: Any) -> None:
        super().__init__(**begun)
        self.fields[FOLLOWS].choices = permits if self.stays else [("", "none"), *permits]


class EmergencyForm(BesideForm):
    """That the permit is for emergency work. Who may decide is offered once the gate has looked at people."""

    FILE = "emergencies.csv"
    COLUMNS: ClassVar = {
        "emergency_danger": "danger",
        "emergency_waiting": "waiting",
        "emergency_by": "decided_by",
        "emergency_at": "decided_at",
    }
    STARTERS = ("emergency_danger", "emergency_waiting", "emergency_by")

    emergency_danger = forms.CharField(label="What happens without digging now", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    emergency_waiting = forms.CharField(label="Why plans cannot be waited for", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    emergency_by = forms.ChoiceField(label="Who decided", required=False)

    def __init__(self, zone: ZoneInfo, **begun: Any) -> None:
        super().__init__(**begun)
        self.fields["emergency_by"].help_text = "Somebody who may issue permits, and neither receives nor digs on this one."
        self.fields["emergency_at"] = MomentField(zone, label="When it was decided", help_text=f"By the clock of {zone.key}.", required=False)

    def offer(self, people: list[tuple[str, Any]]) -> None:
        self.fields["emergency_by"].choices = [("", "choose"), *people]

    def decided(self, at: datetime) -> Emergency | None:
        """As the gate would be told of it, with something harmless where nothing can be read yet, and of the decider the identifier alone."""
        if not self.wanted:
            return None
        who = Person(self.typed("emergency_by"), "", None, ())
        return Emergency(self.typed("emergency_danger"), self.typed("emergency_waiting"), who, self._moment() or at)

    def _moment(self) -> datetime | None:
        field = self.fields["emergency_at"]
        given = field.widget.value_from_datadict(self.data, {}, "emergency_at") if self.is_bound else field.widget.decompress(self.initial.get("emergency_at"))
        try:
            return INSTANT.read(field.clean(given))
        except (ValidationError, Unfit):
            return None


@dataclass(frozen=True)
class Besides:
    """What goes with a permit in preparation. `before`: the permit that it follows, where one of its site is named."""

    follow: FollowForm
    urgent: EmergencyForm
    before: Before | None

    @property
    def forms(self) -> tuple[BesideForm, ...]:
        return (self.follow, self.urgent)

    def also(self, permit: str) -> list[Sheet]:
        """The rows that are written with the permit's own."""
        return [(one.FILE, [one.row(permit)]) for one in self.forms if one.wanted]

    def say(self, problems: Iterable[Problem]) -> None:
        for one in self.forms:
            one.say(problems)

    def changes(self, evidence: Any) -> list[Change]:
        """The permit beside the one that it follows."""
        return changes(self.before.permit, evidence.permit, evidence.site.zone) if self.before else []


def besides(site: Site, permit: str, data: QueryDict | None, initial: dict[str, Any]) -> Besides:
    """The forms as they stand. `permit`: the one that is being changed; "" for a new one."""
    named = ((data if data is not None else initial).get(FOLLOWS) or "").replace("\0", "")
    offered = dict(_could_be_followed(site, permit))
    before = among.as_they_stand(Permit.objects.filter(site=site, permit=named).values_list("pk", flat=True)).get(named) if named else None
    if before:
        offered.setdefault(named, _says(named, before.permit.work))
    kept = [bool(permit) and model.objects.filter(permit=permit).exists() for model in (Following, models.Emergency)]
    follow = FollowForm(list(offered.items()), stays=kept[0], data=data, initial=initial)
    urgent = EmergencyForm(ZoneInfo(site.time_zone), stays=kept[1], data=data, initial=initial)
    if before:
        before = replace(before, why=follow.typed("follows_why"), changed=follow.typed("follows_changed"))
    return Besides(follow, urgent, before)


def _could_be_followed(site: Site, permit: str) -> Iterator[tuple[str, str]]:
    """The permits of the site that somebody has signed, the latest first."""
    signed = Permit.objects.filter(site=site, sign_offs__meaning="issue").exclude(permit=permit).order_by("-valid_from", "permit")
    for name, work in signed.values_list("permit", "work")[:MOST_PERMITS]:
        yield name, _says(name, work)


def _says(name: str, work: str) -> str:
    return f"{name}: {work if len(work) <= 60 else f'{work[:60]}…'}"


def stored(permit: Permit) -> dict[str, str]:
    """What is on record beside a permit, as the forms show it."""
    zone = ZoneInfo(permit.site.time_zone)
    found: dict[str, str] = {}
    if row := Following.objects.filter(permit=permit).first():
        found |= {FOLLOWS: row.follows_id, "follows_why": row.why, "follows_changed": row.changed}
    if row := models.Emergency.objects.filter(permit=permit).first():
        found |= {"emergency_danger": row.danger, "emergency_waiting": row.waiting, "emergency_by": row.decided_by_id}
        found["emergency_at"] = local_text(row.decided_at, zone)
    return found
