"""Copper conductors: resistance of a core by its size in mm2 or by wire gauge, and at a temperature.

Takes numbers, gives numbers; may import guards. Resistance is of ONE core, ohm per km.
"""

from __future__ import annotations

import math
from typing import Literal

from diagnose.trade.guards import ensure_positive, ensure_within

Strands = Literal["fixed", "flexible"]

# IEC 60228 (maximum at 20 degC, plain copper; independent reproductions agree): classes 1 and 2, then class 5.
# Class 5 at 50 mm2 really lies below class 2 in the table.
OHM_PER_KM: dict[float, tuple[float, float]] = {
    0.5: (36.0, 39.0),
    0.75: (24.5, 26.0),
    1.0: (18.1, 19.5),
    1.5: (12.1, 13.3),
    2.5: (7.41, 7.98),
    4.0: (4.61, 4.95),
    6.0: (3.08, 3.30),
    10.0: (1.83, 1.91),
    16.0: (1.15, 1.21),
    25.0: (0.727, 0.780),
    35.0: (0.524, 0.554),
    50.0: (0.387, 0.386),
    70.0: (0.268, 0.272),
    95.0: (0.193, 0.206),
}
RESISTIVITY = 1 / 58  # ohm mm2/m, annealed copper at 20 degC: IEC 60028, NBS Handbook 100
PER_KELVIN = 0.00393  # at 20 degC: IEC 60028; from memory, unverified


def gauge_diameter(gauge: int) -> float:
    """Give the diameter of a solid wire of a gauge: 0.127 * 92^((36 - gauge) / 39) mm.

    Args:
        gauge: Wire gauge (AWG) from -3 to 40; 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3.

    Returns:
        Millimetres.

    Raises:
        ValueError: The gauge lies outside -3 to 40.

    References:
        ASTM B258: No. 36 is 0.005 in, No. 0000 is 0.46 in, 39 even steps between.

    >>> round(gauge_diameter(14), 4)
    1.6277
    """
    ensure_within("wire gauge", gauge, "", -3, 40)
    return 0.127 * float(92 ** ((36 - gauge) / 39))


def gauge_area(gauge: int) -> float:
    """Give the cross-section of a solid wire of a gauge: pi / 4 * diameter^2.

    Args:
        gauge: Wire gauge (AWG) from -3 to 40; 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3.

    Returns:
        Square millimetres.

    Raises:
        ValueError: The gauge lies outside -3 to 40.

    References:
        ASTM B258 for the diameter; the area is geometry.

    >>> round(gauge_area(14), 4)
    2.0809
    """
    return math.pi / 4 * gauge_diameter(gauge) ** 2


def resistance_at(resistance: float, temperature: float) -> float:
    """Bring a copper resistance from 20 degC to a temperature: R * (1 + 0.00393 * (t - 20)).

    Args:
        resistance: At 20 degC, in any unit.
        temperature: degC, -60 to 180.

    Returns:
        At the temperature, in the same unit.

    References:
        IEC 60028 (the coefficient is from memory, unverified).

    >>> round(resistance_at(12.1, 70), 3)
    14.478
    """
    return resistance * (1 + PER_KELVIN * (temperature - 20))


def resistance_at_20(resistance: float, temperature: float) -> float:
    """Bring a copper resistance from a temperature to 20 degC: R / (1 + 0.00393 * (t - 20)).

    Args:
        resistance: As measured, in any unit.
        temperature: degC when it was measured, -60 to 180.

    Returns:
        At 20 degC, in the same unit.

    References:
        IEC 60028 (the coefficient is from memory, unverified).

    >>> round(resistance_at_20(resistance_at(12.1, 70), 70), 6)
    12.1
    """
    return resistance / (1 + PER_KELVIN * (temperature - 20))


def conductor_resistance(size: float, strands: Strands = "fixed", temperature: float = 20.0) -> float:
    """Give the resistance of one copper core, from the table, or 1000 / 58 / size where the table has no such size.

    Args:
        size: Cross-section in mm2, above 0.
        strands: "fixed" for solid and stranded cores (classes 1 and 2), "flexible" for class 5.
        temperature: degC of the core, -60 to 180.

    Returns:
        Ohm per km. From the table it is the highest allowed: a real cable reads a little lower.
        Off the table it is that of solid copper: a stranded core reads about 2 % more.

    Raises:
        ValueError: The size is not above 0.

    References:
        IEC 60228 classes 1, 2 and 5 for the table; IEC 60028 for copper.

    >>> conductor_resistance(1.5), conductor_resistance(1.5, "flexible")
    (12.1, 13.3)
    >>> round(conductor_resistance(gauge_area(14)), 3)
    8.286
    """
    ensure_positive("size", size, "mm2")
    listed = OHM_PER_KM.get(size)
    if listed is None:
        return resistance_at(1000 * RESISTIVITY / size, temperature)
    return resistance_at(listed[strands == "flexible"], temperature)
