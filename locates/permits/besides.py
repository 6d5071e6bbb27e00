"""What is prepared beside a permit and goes into the registers with it: the permit that it follows."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from locates.permits import among
from locates.permits.models import Following, Permit
from locates.permits.rules.evidence import Before
from locates.permits.rules.following import Change, changes
from records.exchange.entering import Sheet
from records.exchange.scratch import Problem
from records.firm.models import Site
from records.forms import laid_out

MOST_PERMITS = 40
FOLLOWS, OWED = "follows", "owed"


class BesideForm(forms.Form):
    """A row of a register that goes with the permit, or none. `COLUMNS`: by field the column it fills; the first says whether there is a row at all."""

    FILE: ClassVar[str] = ""
    COLUMNS: ClassVar[dict[str, str]] = {}

    def __init__(self, **begun: Any) -> None:
        super().__init__(**begun)
        self.helper = laid_out()

    @property
    def wanted(self) -> bool:
        """Is there to be a row?"""
        return bool(self.typed(next(iter(self.COLUMNS))))

    def typed(self, name: str) -> str:
        return (self.data.get(name) if self.is_bound else self.initial.get(name)) or ""

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
    COLUMNS: ClassVar = {FOLLOWS: "follows", "follows_why": "why", "follows_changed": "changed"}

    follows = forms.ChoiceField(label="Follows permit", required=False)
    follows_why = forms.CharField(label="Why a new permit", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    follows_changed = forms.CharField(label="What is different in it", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, permits: list[tuple[str, str]], *, stays: bool = False, **begun: Any) -> None:
        super().__init__(**begun)
        self.fields[FOLLOWS].choices = permits if stays else [("", "none"), *permits]


@dataclass(frozen=True)
class Besides:
    """What goes with a permit in preparation. `before`: the permit that it follows, where one of its site is named."""

    follow: FollowForm
    before: Before | None

    @property
    def forms(self) -> tuple[BesideForm, ...]:
        return (self.follow,)

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
    named = (data if data is not None else initial).get(FOLLOWS) or ""
    offered = dict(_could_be_followed(site, permit))
    before = among.as_they_stand(Permit.objects.filter(site=site, permit=named.replace("\0", "")).values_list("pk", flat=True)).get(named) if named else None
    if before:
        offered.setdefault(named, _says(named, before.permit.work))
    stays = bool(permit) and Following.objects.filter(permit=permit).exists()
    follow = FollowForm(list(offered.items()), stays=stays, data=data, initial=initial)
    if before:
        before = Before(before.permit, before.issued_at, before.accepted_at, before.over_at, follow.typed("follows_why"), follow.typed("follows_changed"))
    return Besides(follow, before)


def _could_be_followed(site: Site, permit: str) -> Iterator[tuple[str, str]]:
    """The permits of the site that somebody has signed, the latest first."""
    signed = Permit.objects.filter(site=site, sign_offs__meaning="issue").exclude(permit=permit).order_by("-valid_from", "permit")
    for name, work in signed.values_list("permit", "work")[:MOST_PERMITS]:
        yield name, _says(name, work)


def _says(name: str, work: str) -> str:
    return f"{name}: {work if len(work) <= 60 else f'{work[:60]}…'}"


def stored(permit: Permit) -> dict[str, str]:
    """What is on record beside a permit, as the forms show it."""
    row = Following.objects.filter(permit=permit).first()
    return {name: getattr(row, "follows_id" if column == "follows" else column) for name, column in FollowForm.COLUMNS.items()} if row else {}
