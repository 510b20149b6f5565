"""HAND-COUNTED: the named tolerances themselves."""

import pytest
from tolerances import mean_of_noisy, printed, sampled


@pytest.mark.parametrize(
    ("text", "half_unit"),
    [("0.0162", 0.00005), ("54.1", 0.05), ("73", 0.5), ("-0.30", 0.005), ("1.5e-3", 5e-5)],
)
def test_printed_is_half_a_unit_of_the_last_digit(text, half_unit):
    assert half_unit <= printed(text) <= 1.01 * half_unit


def test_sampled_is_half_a_frame():
    assert sampled(25) == 0.02


def test_mean_of_noisy_is_five_standard_errors():
    assert mean_of_noisy(0.2, 100) == pytest.approx(0.1)
