"""The agreement of readings with trial holes, against values worked out apart from this project.

Eight pairs of (depth read, depth seen) in metres, with their mean difference, standard deviation (n - 1), 95 % limits of agreement (mean ± 1.96 standard
deviations, the method of J. M. Bland and D. G. Altman, Lancet 1986; from memory), and how many are within a share of the depth. The numbers were computed
apart, not taken from a publication; Python's own statistics reckon them here once more.
"""

from decimal import Decimal
from statistics import NormalDist, mean, stdev

import pytest

from locates.trials.rules.agreement import NORMAL_95, Pair, agreement

READ_AND_SEEN = [(0.62, 0.60), (0.95, 1.00), (1.10, 1.05), (0.48, 0.45), (1.55, 1.60), (0.80, 0.82), (0.71, 0.70), (1.30, 1.22)]
PAIRS = [Pair(Decimal(str(read)), Decimal(str(seen))) for read, seen in READ_AND_SEEN]


def test_mean_difference_standard_deviation_and_limits_are_those_worked_out_apart():
    found = agreement(PAIRS)
    assert (found.n, found.bias_m) == (8, Decimal("0.00875"))
    assert found.sd_m.quantize(Decimal("0.000001")) == Decimal("0.046426")
    assert (found.low_m.quantize(Decimal("0.0001")), found.high_m.quantize(Decimal("0.0001"))) == (Decimal("-0.0822"), Decimal("0.0997"))


def test_the_standard_library_reckons_the_same():
    differences = [read - seen for read, seen in READ_AND_SEEN]
    found = agreement(PAIRS)
    assert (float(found.bias_m), float(found.sd_m)) == pytest.approx((mean(differences), stdev(differences)))
    assert float(NORMAL_95) == pytest.approx(NormalDist().inv_cdf(0.975), abs=0.0001)


def test_all_eight_are_within_a_tenth_of_the_depth_and_six_within_a_twentieth_reckoned_exactly():
    """Two are exactly a twentieth off: in binary floats one of them comes out as 5.0000000000000044 % and would be lost."""
    assert agreement(PAIRS).within_tenth == 8
    assert sum(one.within(Decimal("0.05")) for one in PAIRS) == 6
    assert sum(abs(read - seen) / seen <= 0.05 for read, seen in READ_AND_SEEN) == 5
