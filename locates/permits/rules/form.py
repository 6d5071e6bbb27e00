"""The thirteen items that published guidance asks of a permit to work, in words, each with its tables and its places to fill in by hand.

An item is plain data: `says` are paragraphs, `heads` and `rows` a table, `blanks` lines to fill in by hand, each a list of what belongs there.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from locates.permits.rules.depths import NO_PROOF
from locates.permits.rules.emergency import FOLLOW_UP_DAYS, follow_up_ends, without
from locates.permits.rules.evidence import Evidence, Sweep, Trace
from locates.permits.rules.following import changes
from locates.permits.rules.frame import Frame, framed
from locates.permits.rules.levels import letters_say
from locates.permits.rules.owners import AGREED
from locates.permits.rules.signing import ACCEPT, ISSUE
from records.rules.dates import instant_says
from records.rules.numbers import EVERY_NUMBER
from records.rules.says import end_says
from records.rules.verdict import Verdict, rounded
from records.rules.words import INSTRUMENT_KINDS, TECHNIQUES, spoken

Item = dict[str, Any]
LETTERS = {"electricity": "E", "gas": "G", "oil": "O", "heating": "H", "telecom": "T", "water": "W", "reclaimed_water": "R", "sewer": "S", "drainage": "D"}
LETTER_UNKNOWN = "U"
MOST_CORNERS = 12
NO_PLACE = "This permit is blocked: there is no place to sign."

# What each method may bring about, and what is worn for it: common practice, no published source
HAZARDS = {
    "hand": "A pick, bar or spade driven into a service; a service undercut or left hanging; the sides falling in.",
    "vacuum": "A covering torn by the jet of air or water or by the nozzle; static charge; stones thrown; a service left hanging.",
    "machine": "The bucket striking a service out of the driver's sight, or dragging it; a service crushed under wheels; overhead lines; the sides falling in.",
    "bore": "The head striking a service out of everyone's sight; the bore leaving its line; a reamer wider than the pilot; drilling fluid breaking out.",
}
WORN = {
    "hand": "insulated hand tools without points",
    "vacuum": "face shield and hearing protection; bonding of hose and vehicle",
    "machine": "a banksman in the driver's sight; hearing protection",
    "bore": "strike alarm in use, earth mats and insulating boots and gloves for the crew at the rig",
}
AS_AGREED = "Keep to what the owners of services agreed to, in their own words below; where one of them is not kept to, stop."
BY_HAND_TOO = {"machine": ", but by hand or vacuum within the hand-dig zones"}
KEPT_TO = (
    "Take every service as live, and take it that services are there which nobody found.",
    "See the marks, the owners' plans and this plan before the first cut of every shift; where marks are lost, stop until they are renewed.",
    "Within a hand-dig zone dig by hand or vacuum only, beside the service and not on to it, until it is seen; support what is exposed.",
    "Where something is found that is not on the plan, or not where it should be, stop, keep people away and tell the issuer and the owner.",
)


def items(evidence: Evidence, verdict: Verdict, traces: list[Item]) -> list[Item]:
    """All thirteen, in their order. `traces` are those of the sheet, with their tags and depths in words."""
    frame = framed(evidence, verdict.at)
    return [
        _title(evidence),
        _number(frame),
        _location(evidence),
        _equipment(evidence),
        _work(frame, verdict),
        _hazards(frame, traces),
        _precautions(verdict, traces),
        _protection(evidence),
        *_signed(evidence, verdict),
        *_closing(verdict),
    ]


def tags(traces: Iterable[Trace]) -> Iterator[tuple[Trace, str]]:
    """Each trace with its tag on the plan: the utility's letter and a running number."""
    count: dict[str, int] = {}
    for trace in traces:
        letter = LETTERS.get(trace.utility, LETTER_UNKNOWN)
        count[letter] = count.get(letter, 0) + 1
        yield trace, f"{letter}{count[letter]}"


def _title(evidence: Evidence) -> Item:
    work = "Emergency work. " if evidence.emergency else ""
    says = f"{work}Permit to dig by {spoken(evidence.permit.method)}, at the place, in the time and within the limits named here, and nowhere else."
    return {"title": "Title", "says": [says, "It records what was checked and what to keep to. It is no proof that the ground holds nothing."]}


def _number(frame: Frame) -> Item:
    rows = [["Permit", frame.permit.permit]]
    if frame.locate:
        rows.append(["Locate", f"{frame.locate.locate}, by {frame.locate.operator.name} ({frame.locate.operator.person})"])
    rows += _related(frame)
    for asked in frame.live_by_owner.values():
        rows.append([f"Plans of {asked[0].service_owner}", "; ".join(f"{one.enquiry} {one.reference_no}".strip() for one in asked)])
    return {"title": "Number and related permits", "rows": rows, "blanks": [["Other permits, licences and isolations that bear on this place: their numbers"]]}


def _related(frame: Frame) -> Iterator[list[str]]:
    """The permit that this one follows, with what is different in this one, and the permits that follow it."""
    if before := frame.evidence.follows:
        name = before.permit.permit
        yield from (["Follows", f"permit {name}"], ["Why a new permit", before.why], ["What is different", before.changed])
        differing = [one for one in changes(before.permit, frame.permit, frame.zone) if one.differs]
        yield from ([f"{one.what}, in {name} and here", f"{one.was}; here {one.now}"] for one in differing)
    followers = [f"permit {one.permit}, issued {frame.says(one.issued_at)}" for one in frame.evidence.followers if one.issued_at <= frame.at]
    if followers:
        yield ["Followed by", "; ".join(followers)]


def _location(evidence: Evidence) -> Item:
    outline = evidence.permit.outline
    left, bottom, right, top = outline.bounds
    across = f"{right - left:.2f} m from west to east, {top - bottom:.2f} m from south to north, {rounded(outline.area)} m²"
    corners = [f"{x:.2f} {y:.2f}" for x, y, *_ in outline.exterior.coords[:-1]]
    where = f"at {'; '.join(corners)}" if len(corners) <= MOST_CORNERS else f"from {left:.2f} {bottom:.2f} to {right:.2f} {top:.2f}, as on the plan"
    rows = [
        ["Site", f"{evidence.site.name} ({evidence.site.site}), time zone {evidence.site.zone}"],
        ["Outline of the dig", f"{across}; corners {where} (metres east and north in the site's grid)"],
    ]
    return {"title": "Location", "rows": rows}


def _equipment(evidence: Evidence) -> Item:
    found = [(kind, getattr(evidence.locate, kind)) for kind in INSTRUMENT_KINDS] if evidence.locate else []
    rows = [
        [f"{kind.capitalize()} {one.instrument}", ", ".join(filter(None, (f"serial number {one.serial_no}", one.description)))] for kind, one in found if one
    ]
    return {
        "title": "Plant and equipment",
        "rows": [["Method of digging", spoken(evidence.permit.method)], *rows, *_swept(evidence)],
        "blanks": [["Plant, tools and attachments on the job"]],
    }


def _swept(evidence: Evidence) -> list[list[str]]:
    """For each technique, how the ground was walked with it."""
    sweeps = evidence.locate.sweeps if evidence.locate else ()
    used = [technique for technique in TECHNIQUES if any(one.technique == technique for one in sweeps)]
    return [[f"Swept by {spoken(technique)}", "; ".join(_walked(one) for one in sweeps if one.technique == technique)] for technique in used]


def _walked(sweep: Sweep) -> str:
    told = (
        (sweep.bearing_deg, "bearing {:f}°"),
        (sweep.spacing_m, "lines {:f} m apart"),
        (sweep.transmitter_offset_m, "begun {:f} m from the transmitter"),
    )
    return ", ".join([sweep.sweep, *(words.format(number.normalize()) for number, words in told if number is not None)])


def numbers_in_force(frame: Frame) -> str:
    """The rule set, and each number of its own that is in force: what it sets, since when, and on whose word."""
    site, own = frame.evidence.site, (*frame.numbers.rows.values(), *frame.emergency_numbers.rows.values())
    told = [f"{EVERY_NUMBER[row.key].meaning}: {row.value}, from {frame.says(row.effective_from)} ({row.source or 'no source given'})" for row in own]
    return f"rule set {site.rule_set}" + "".join(f"; {one}" for one in sorted(told)) + ("; all else by default" if told else ": all by default")


def _work(frame: Frame, verdict: Verdict) -> Item:
    permit, zone = frame.permit, frame.zone
    limits = f"the outline on the plan and not deeper than {permit.depth_m.normalize():f} m, by {spoken(permit.method)} only"
    rows = [
        ["Work", permit.work],
        ["Within", limits + BY_HAND_TOO.get(permit.method, "")],
        ["Time", f"from {instant_says(permit.valid_from, zone)} to {instant_says(permit.valid_to, zone)}"],
        ["Evidence good", end_says(verdict.good_until, zone) if verdict.clear else "NOT GOOD: see why there must be no digging"],
        *_emergency(frame),
        ["Crew", "; ".join(f"{one.name} ({one.person})" for one in permit.crew) or "nobody named"],
        ["Numbers in force", numbers_in_force(frame)],
    ]
    says = ["Work that must go beyond the outline, deeper, later or by another method needs a new permit first."]
    return {"title": "Work and its limits", "rows": rows, "says_after": says}


def _emergency(frame: Frame) -> Iterator[list[str]]:
    if (told := declared(frame.evidence, frame.at)) is not None:
        yield ["EMERGENCY WORK", f"decided by {told['decided_by']} on {told['decided_at']}"]
        yield ["Without digging now", told["danger"]]
        yield ["Why plans are not waited for", told["waiting"]]
        yield ["Dug without", told["without"]]
        yield ["Follow-up", f"{told['follow_up']}: which owners were told and what they answered, what was found, what was damaged"]


def declared(evidence: Evidence, at: datetime) -> dict[str, str] | None:
    """Emergency work in words: who decided, when, why, without whose plans it is dug, and by when it is followed up; None where it is none."""
    emergency, frame = evidence.emergency, framed(evidence, at)
    if emergency is None:
        return None
    days = frame.emergency_numbers.whole(FOLLOW_UP_DAYS)
    due = frame.last_day(follow_up_ends(frame.permit.valid_to, days, frame.zone))
    return {
        "decided_by": f"{emergency.decided_by.name} ({emergency.decided_by.person})",
        "decided_at": frame.says(emergency.decided_at),
        "danger": emergency.danger,
        "waiting": emergency.waiting,
        "without": "; ".join(sorted(without(frame))) or "nobody's: all owners' plans are good for it",
        "follow_up": f"due through {due}, {days} days after it ends",
    }


def _hazards(frame: Frame, traces: list[Item]) -> Item:
    plans = "; ".join(f"{one.service} {spoken(one.utility)} ({'; '.join(_accounted(frame, one.service, traces))})" for one in frame.services)
    which = ", in date or not" if frame.evidence.emergency else " that are in date"
    rows = [[one["tag"], spoken(one["utility"]), spoken(one["technique"]), one["quality_level"], one["depth"], one["width_m"], one["trace"]] for one in traces]
    return {
        "title": "Hazards",
        "says": [
            f"On the owners' plans{which}: {plans or 'no service is entered for this ground'}.",
            f"Brought in by the work ({spoken(frame.permit.method)}): {HAZARDS[frame.permit.method]}",
            "Services that are on no plan and were not detected may be there too.",
        ],
        "heads": ["Tag", "Traced", "Technique", f"Quality level by {frame.scheme.short}", "Depth", "Width, m", "Trace"],
        "shares": [5, 13, 14, 13, 33, 8, 14],
        "rows": rows or [["", "nothing was traced", "", "", "", "", ""]],
        "says_after": [NO_PROOF, letters_say(frame.scheme, {one["quality_level"] for one in traces})] if traces else [],
    }


def _accounted(frame: Frame, service: str, traces: list[Item]) -> list[str]:
    """By which tags on the plan, or in which words, a service of the plans is accounted for."""
    names = frame.same.get(service, {service})
    outcomes = [spoken(one.outcome) for one in frame.locate.outcomes if one.service in names] if frame.locate else []
    return [one["tag"] for one in traces if names & set(one["services"])] or outcomes or ["not traced"]


def _precautions(verdict: Verdict, traces: list[Item]) -> Item:
    tag = {f"trace:{one['trace']}": f"{one['tag']} {spoken(one['utility'])}" for one in traces}
    near = [one for one in verdict.conditions if one.code == "hand_dig"]
    rows = [[tag[one.subject], *(str(rounded(number)) for number in (one.distance_m, one.area_m2, one.volume_m3))] for one in near]
    agreed = [AS_AGREED] if any(one.code == AGREED for one in verdict.conditions) else []
    if near:
        rows.append(["All together", "", str(rounded(verdict.hand_area_m2)), str(rounded(verdict.hand_volume_m3))])
    return {
        "title": "Precautions",
        "heads": ["Dig by hand near", "Outline to its edge, m", "Area, m²", "Volume, m³"],
        "shares": [40, 20, 20, 20],
        "rows": rows or [["no traced line comes near the outline" if traces else "nothing was traced, which proves nothing", "", "", ""]],
        "says_after": [*(one.says for one in verdict.conditions if one.code not in ("hand_dig", AGREED)), *agreed, *KEPT_TO],
    }


def _protection(evidence: Evidence) -> Item:
    worn = f"Helmet, eye protection, gloves, protective boots, high-visibility clothing; {WORN[evidence.permit.method]}."
    says = [worn, "What the site's rules, the owners and the risk assessment ask beyond this comes first."]
    return {"title": "Protective equipment", "says": says, "blanks": [["More, as the issuer asks"]], "whole": True}


def _signed(evidence: Evidence, verdict: Verdict) -> Iterator[Item]:
    for title, meaning, role in (("Issue", ISSUE, "issuer"), ("Acceptance", ACCEPT, "receiver")):
        blanks = [["Name", "Signature", "Date and time"]] if verdict.clear else []
        who = getattr(evidence.permit, role)
        yield {"title": title, "meaning": meaning, "rows": [[role.capitalize(), f"{who.name} ({who.person})"]], "blanks": blanks, "whole": True}


def _closing(verdict: Verdict) -> Iterator[Item]:
    told = {
        "Extension or shift handover": "Not prolonged by hand: past its time a new permit is judged and signed. A handover within its time is written here.",
        "Hand-back": "The receiver: the work is done or stopped, the ground and what was exposed are left as written here, the copies are brought back.",
        "Cancellation": "The issuer: the place has been looked at, the hand-back is accepted, and no more work is done on this permit.",
    }
    places = {
        "Extension or shift handover": [["Date and time", "State of the work", "Handed over: name and signature", "Taken over: name and signature"]] * 2,
        "Hand-back": [["State in which ground and services are left"], ["Receiver: name", "Signature", "Date and time"]],
        "Cancellation": [["Issuer: name", "Signature", "Date and time"]],
    }
    for title, says in told.items():
        yield {"title": title, "says": [says if verdict.clear else NO_PLACE], "blanks": places[title] if verdict.clear else [], "whole": True}
