"""What the forms of a dig's diary begin with and offer; and the trial hole that an exposure makes."""

from collections.abc import Mapping
from typing import Any

from locates.fieldwork.receiving import Receipt
from locates.instruments.models import Instrument
from locates.lookovers import forms
from locates.lookovers.facts import owners_agreed
from locates.lookovers.rules.words import CHANGE, points
from locates.permits.models import Permit
from records.firm.models import Person
from records.rules.columns import INSTANT
from records.rules.kinds import UTC_ZONE
from records.rules.words import spoken

Data = Mapping[str, Any] | None


def look_over(permit: Permit, data: Data, seen: int) -> dict[str, Any]:
    """One form of one button where all is well, one where something is not; `form` is the one that was handed in."""
    badly = data is not None and data.get("do") == "wrong"
    asked = points(owners_agreed(permit.pk))
    began = {"initial": {"seen": seen if data is None else data.get("seen", "")}}
    sound = forms.SoundForm(asked, data=None if badly else data, **began)
    wrong = forms.WrongForm(asked, data=data if badly else None, **began)
    return {"form": wrong if badly else sound, "sound": sound, "wrong": wrong, "points": asked.values(), "shown": " ".join(asked)}


def sweep(permit: Permit, data: Data, seen: int) -> dict[str, Any]:
    receivers = Instrument.objects.filter(kind="receiver", out_of_service_from=None).order_by("instrument")
    offered = [(one.pk, " ".join(filter(None, (one.pk, one.serial_no)))) for one in receivers]
    usual = permit.locate.receiver_id if permit.locate is not None else ""
    return {"form": forms.SweepForm(offered, data=data, initial={"seen": seen, "receiver": usual})}


def expose(permit: Permit, data: Data, seen: int, asked: Mapping[str, Any]) -> dict[str, Any]:
    """`asked`: what the address names already, such as the trace."""
    traces = list(permit.locate.traces.order_by("trace"))
    offered = [(one.pk, f"{one.pk}, {spoken(one.utility)}") for one in traces]
    named = next((one for one in traces if one.pk == asked.get("trace")), None)
    begun = {"seen": seen} | ({"trace": named.pk, "utility": named.utility} if named else {})
    return {"form": forms.ExposeForm(offered, data=data, initial=begun)}


def event(permit: Permit, data: Data, seen: int) -> dict[str, Any]:
    return {"form": forms.EventForm(data=data, initial={"seen": seen, "occasion": CHANGE})}


def hole(permit: Permit, receipt: Receipt, form: forms.ExposeForm, person: Person) -> dict[str, str]:
    """The row of the register of trial holes, but for its name."""
    given = form.cleaned_data
    measured = {name: "" if given[name] is None else f"{given[name]:f}" for name in ("x", "y", "depth_m", "width_m")}
    when = INSTANT.write(receipt.happened, UTC_ZONE)
    told = {name: given[name] for name in ("trace", "utility", "note")}
    return {"locate": permit.locate_id, "exposed_at": when, "person": person.pk, **told, **measured}
