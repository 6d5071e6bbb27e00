"""Depth readings, compared exactly, in metres."""

from decimal import Decimal


def raised_reading_off_by(depth_m: Decimal, raised_by_m: Decimal, raised_depth_m: Decimal) -> Decimal:
    """By how much the raised reading differs from what an undistorted field would show."""
    return abs(raised_depth_m - depth_m - raised_by_m)


def tolerance(depth_m: Decimal, at_least_m: Decimal, ratio: Decimal) -> Decimal:
    """How much it may differ: the larger of a fixed length and a share of the depth. Exactly that is within."""
    return max(at_least_m, ratio * depth_m)


def disagrees(depth_m: Decimal, raised_by_m: Decimal, raised_depth_m: Decimal, at_least_m: Decimal, ratio: Decimal) -> bool:
    return raised_reading_off_by(depth_m, raised_by_m, raised_depth_m) > tolerance(depth_m, at_least_m, ratio)
