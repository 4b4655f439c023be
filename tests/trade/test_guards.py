"""Guards name the number, the range and the unit."""

import math

import pytest

from diagnose.trade.guards import ensure_positive, ensure_within


@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf, -math.inf])
def test_nothing_but_a_finite_number_above_zero_passes(value):
    """Zero, negative, endless and undefined numbers are refused by name and unit."""
    with pytest.raises(ValueError, match=r"arm radius must be above 0 mm, not .* mm"):
        ensure_positive("arm radius", value, "mm")


@pytest.mark.parametrize("value", [-0.1, 100.1, math.nan, math.inf])
def test_a_range_is_closed_at_both_ends(value):
    """Both ends pass; beyond them the range is told."""
    ensure_within("travel", 0, "%", 0, 100)
    ensure_within("travel", 100, "%", 0, 100)
    with pytest.raises(ValueError, match=r"travel must be 0 to 100 %, not .* %"):
        ensure_within("travel", value, "%", 0, 100)


def test_a_range_may_be_open_above_or_on_both_sides():
    """A range without an upper end says 'or more', one without any end asks for a finite number."""
    with pytest.raises(ValueError, match="noise must be 0 % or more, not -1 %"):
        ensure_within("noise", -1, "%", 0)
    with pytest.raises(ValueError, match="turns must be a finite number, not nan"):
        ensure_within("turns", math.nan, "", -math.inf)
