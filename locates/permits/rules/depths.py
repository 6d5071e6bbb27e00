"""The depths of a permit's traces as its paper tells them, by the numbers in force at an instant."""

from datetime import datetime

from locates.permits.rules.evidence import Evidence, Trace
from locates.permits.rules.frame import framed
from locates.rules import depth

NO_PROOF = depth.NO_PROOF


def depth_says(evidence: Evidence, trace: Trace, at: datetime) -> str:
    """A trace's depth in words."""
    return depth.says(trace, depth.limits(framed(evidence, at).numbers))
