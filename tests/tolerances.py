"""Named tolerances, each with its reason.

A test that needs a wider one says in a line which effect eats the rest.
"""

from __future__ import annotations

from decimal import Decimal

#: The same formula two ways in float64: a few hundred roundings of 1.1e-16 on numbers of order one.
ALGEBRA = 1e-12

#: What a target solved by the package must reach; also the round trip of joint angles. [m] or [rad]
SOLVED = 1e-6

#: Phase shares at constant speed: the instants are knots of the curves, so only root finding is left. [cycle]
CLOCK = 1e-9

#: Length of a bone: sums and roots of numbers of order one, a few dozen roundings. [m]
BONE = 1e-9

#: A motion against itself one period later: the same functions at times that differ by rounding. [m]
CLOSED = 1e-9

#: Slope of a cost summed at 50 middles per spline, as a share of its greatest entry: a curve changed by a
#: thousandth misses this a hundred thousand times over.
FINE_SUM = 1e-8

STANDARD_ERRORS = 5.0  # a right mean of noise falls outside once in 1.7 million tests


def printed(text: str) -> float:
    """Half a unit of the last printed digit: a published value says no more than that.

    The thousandth part on top lets a value pass that lies on the edge and was rounded in float64.
    """
    return 0.5005 * float(Decimal(1).scaleb(Decimal(text).as_tuple().exponent))


def sampled(fps: float) -> float:
    """Half a frame: an instant between two frames is read off the nearest one. [s]"""
    return 0.5 / fps


def mean_of_noisy(sigma: float, n: int) -> float:
    """Five standard errors of the mean of `n` independent values with standard deviation `sigma`."""
    return STANDARD_ERRORS * sigma / n**0.5
