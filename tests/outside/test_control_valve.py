"""Flow through the valve against an open library that follows IEC 60534-2-1, and the standard's own example.

The standard was not read; its equations and examples are taken as that library reproduces them.
"""

import math

import pint
import pytest
from fluids import control_valve
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.valve import (
    REFERENCE_DENSITY,
    choking_drop,
    cv_of_kv,
    flow_through,
    kv_of_cv,
    needed_kv,
)

# Water of the example in IEC 60534-2-3 (seen in a reproduction): pressures in Pa.
WATER = {"rho": 965.4, "Psat": 70.1e3, "Pc": 22_120e3, "mu": 3.1472e-4}
EXAMPLE = WATER | {"P1": 680e3, "P2": 220e3, "Q": 0.1}


def size_by_library(pipe, **given_values):
    """Size a valve as wide as its pipe, so that there are no fittings to allow for."""
    return control_valve.size_control_valve_l(D1=pipe, D2=pipe, d=pipe, allow_laminar=False, **given_values)


def test_water_example_without_choking():
    """IEC 60534-2-3, water, globe valve: 0.1 m3/s at 4.6 bar need a Kv of 165 (reproduction: 164.995)."""
    by_library = control_valve.size_control_valve_l(**EXAMPLE, D1=0.15, D2=0.15, d=0.15, FL=0.9, Fd=0.46)

    assert 164.995 == round(by_library, 3)
    assert pytest.approx(by_library, rel=1e-5) == needed_kv(360, 4.6, 0.9654)
    assert choking_drop(6.8, 0.701, 221.2, 0.9) > 4.6


def test_water_example_that_chokes():
    """IEC 60534-2-3, water, ball segment: the same flow chokes and needs a Kv of 238 (reproduction: 238.058)."""
    by_library = control_valve.size_control_valve_l(**EXAMPLE, D1=0.1, D2=0.1, d=0.1, FL=0.6, Fd=0.98)
    choking = choking_drop(6.8, 0.701, 221.2, 0.6)

    assert choking < 4.6
    assert pytest.approx(by_library, rel=1e-5) == needed_kv(360, choking, 0.9654)


@given(st.floats(2, 40), st.floats(0.05, 0.95), st.floats(0.4, 0.95), st.floats(0.001, 0.5))
def test_sizing_agrees_wherever_flow_is_turbulent(inlet, part, recovery, flow):
    """Any drop: the smaller of drop and choking drop gives the library's coefficient (IEC 60534-2-1)."""
    drop = part * (inlet - 0.701)
    by_library = size_by_library(
        0.15, **WATER, P1=inlet * 1e5, P2=(inlet - drop) * 1e5, Q=flow, FL=recovery, Fd=0.5
    )
    effective = min(drop, choking_drop(inlet, 0.701, 221.2, recovery))

    assert math.isclose(by_library, needed_kv(flow * 3600, effective, 0.9654), rel_tol=1e-5)
    assert math.isclose(flow * 3600, flow_through(by_library, effective, 0.9654), rel_tol=1e-5)


@given(st.floats(1, 100), st.floats(0.001, 0.9), st.floats(0.3, 0.95))
def test_choking_agrees(inlet, vapour, recovery):
    """The pressure behind the valve at which the library says it chokes is the inlet less our drop."""
    behind = control_valve.control_valve_choke_P_l(
        vapour * 1e5, 221.2e5, recovery, P1=inlet * 1e5, check_choking=False
    )

    assert math.isclose(behind / 1e5, inlet - choking_drop(inlet, vapour, 221.2, recovery), abs_tol=1e-9)


@given(st.floats(0.001, 1e5))
def test_coefficients_agree(coefficient):
    """Kv and Cv convert as in the library (IEC 60534-2-1: Kv = 0.865 Cv)."""
    assert math.isclose(control_valve.Kv_to_Cv(coefficient), cv_of_kv(coefficient), rel_tol=1e-12)
    assert math.isclose(control_valve.Cv_to_Kv(coefficient), kv_of_cv(coefficient), rel_tol=1e-12)
    assert 0.865 == round(kv_of_cv(1), 3)


def test_coefficients_follow_from_their_units():
    """One Kv is one m3/h at 1 bar; by units alone that is the Cv in US gallons a minute at 1 lbf/in2 (NIST SP 811)."""
    units = pint.UnitRegistry()
    per_minute = (1 * units.m**3 / units.hour).to("gallon / minute").magnitude
    at_one_psi = math.sqrt((1 * units.psi).to("bar").magnitude)

    assert math.isclose(per_minute * at_one_psi, cv_of_kv(1), rel_tol=1e-9)


def test_reference_density_agrees():
    """The water that coefficients refer to is that of 15 degC, as in the library."""
    assert pytest.approx(control_valve.rho0 / 1000, rel=1e-5) == REFERENCE_DENSITY
