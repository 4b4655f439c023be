"""What the columns of a stroke log mean: names and units out of the header or out of an option.

Takes header names, gives columns with their scale; may import errors, trade and facts.quantity.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.facts.quantity import parse_quantity
from diagnose.knowledge.validate import suggest
from diagnose.trade.signals import SPANS, InputKind

TIME, COMMAND, POSITION, OUTPUT = "time", "command", "position", "output"
VOLTS, CURRENT = "supply_voltage", "motor_current"
CONTACTS = ("open_limit", "close_limit", "open_torque", "close_torque")
NEEDED = (TIME, COMMAND, POSITION)
SIGNALS = (COMMAND, POSITION, OUTPUT)
# Every column we know, with other ways to write it.
NAMES: dict[str, tuple[str, ...]] = {
    TIME: ("t", "timestamp", "seconds", "date_time", "datetime"),
    COMMAND: ("cmd", "setpoint", "set_point", "demand", "controller_output"),
    POSITION: ("travel", "pos", "stem", "valve_position", "valve_travel", "angle"),
    OUTPUT: ("position_output", "position_signal", "transmitter"),
    VOLTS: ("supply", "voltage", "volts", "supply_volts"),
    CURRENT: ("current", "amps", "motor_amps"),
    "open_limit": ("limit_open", "open_limit_switch"),
    "close_limit": ("limit_close", "closed_limit", "limit_closed", "close_limit_switch"),
    "open_torque": ("torque_open", "open_torque_switch"),
    "close_torque": ("torque_close", "closed_torque", "close_torque_switch"),
}
_BY_NAME = {other: name for name, others in NAMES.items() for other in (name, *others)}
_UNITS = {"%", "percent", "pct", "mA", "V", "mV", "ohm", "deg", "s", "ms", "us", "min", "h", "A"}
_HEAD = re.compile(r"\s*(?P<name>[^\[\](){}/,;]+?)\s*[\[({/,]\s*(?P<unit>[^\[\](){}]+?)\s*[\])}]?\s*")
_SPAN = re.compile(
    r"(?P<low>-?\d+(?:\.\d+)?)\s*(?:-|\.\.|to)\s*(?P<high>-?\d+(?:\.\d+)?)\s*(?P<unit>[^\d\s].*)"
)
# What a bare unit means for a signal: ends of the span. A voltage has several spans and must be told.
_SPAN_OF_UNIT: dict[str, tuple[float, float]] = {
    "%": (0, 100),
    "mA": (SPANS["ma_4_20"].low, SPANS["ma_4_20"].high),
    "ohm": (SPANS["ohm_0_135"].low, SPANS["ohm_0_135"].high),
    "deg": (0, 90),
}
_SAME_UNIT = {"percent": "%", "pct": "%", "ma": "mA", "v": "V", "a": "A", "degree": "deg", "degrees": "deg"}
_PLAIN_UNIT = {TIME: "s", VOLTS: "V", CURRENT: "A"}


@dataclass(frozen=True)
class Column:
    """One column of the log: value in our unit = (value as written - zero) * scale.

    Attributes:
        name: Our name.
        header: The name in the file.
        unit: The unit it is written in, with its span where it has one.
    """

    name: str
    header: str
    unit: str
    zero: float = 0.0
    scale: float = 1.0


def find_columns(
    path: str,
    headers: Sequence[str],
    units: Mapping[str, str],
    renamed: Mapping[str, str],
    kind: InputKind | None,
) -> tuple[Column, ...]:
    """Find the columns we know in a header.

    Args:
        path: The log, for faults.
        headers: The names in the file.
        units: Units by our column name, as options give them; they come before the header's.
        renamed: Our column name by the name in the file.
        kind: Kind of the command signal out of the unit record.

    Returns:
        One column each, in order of the file; columns of other names are left out.

    Raises:
        InputFaulty: A needed column is missing, doubled, or bears a unit that cannot be.
    """
    _ensure_options(path, headers, units, renamed)
    columns: dict[str, Column] = {}
    for header in headers:
        name, unit = _split(header)
        ours = renamed.get(header) or _BY_NAME.get(_plain(name))
        if ours is None:
            continue
        if ours in columns:
            wrong = f"'{header[:40]}' and '{columns[ours].header[:40]}' both mean {ours}"
            raise _refuse(path, wrong, "take one out, or rename by --map")
        columns[ours] = _column(path, ours, header, units.get(ours, unit), kind)
    missing = [name for name in NEEDED if name not in columns]
    if missing:
        raise _refuse(path, *_missing(missing, headers))
    return tuple(columns.values())


def _missing(missing: Sequence[str], headers: Sequence[str]) -> tuple[str, str]:
    headers = [_without_mark(header) for header in headers]
    shown = ", ".join(header.strip()[:30] for header in headers[:12]) or "nothing"
    wrong = f"no column {' and no column '.join(missing)}; the first line names {shown}"
    if headers and all(re.fullmatch(r"\s*-?[\d.,]*\s*", header) for header in headers):
        return (
            f"the first line holds numbers, no names ({shown})",
            "put a header such as time,command,position",
        )
    near = suggest(missing[0], [header.strip() for header in headers], "")
    hint = f"{near} Rename" if near else "rename"
    return wrong, f"{hint} by --map 'THEIRS={missing[0]}'"


def _ensure_options(
    path: str, headers: Sequence[str], units: Mapping[str, str], renamed: Mapping[str, str]
) -> None:
    for name in (*units, *renamed.values()):
        if name not in NAMES:
            raise _refuse(
                path, f"'{name[:40]}' is no column of a stroke log", suggest(name, NAMES, _use(NAMES))
            )
    for header in renamed:
        if header not in headers:
            wrong = f"--map names '{header[:40]}', which the log does not have"
            raise _refuse(path, wrong, suggest(header, headers, _use(headers)))


def _use(names: Iterable[str]) -> str:
    return "use one of " + ", ".join(names)


def _plain(name: str) -> str:
    return re.sub(r"[\s.-]+", "_", name.strip().lower())


def _split(header: str) -> tuple[str, str]:
    """Part a header from its unit: `position [%]`, `position (%)`, `position/mA` or `position_mA`."""
    header = _without_mark(header)
    if header.strip() in _BY_NAME:
        return header, ""
    if match := _HEAD.fullmatch(header):
        return match["name"], match["unit"]
    name, _, unit = header.strip().rpartition("_")
    return (name, unit) if name and unit in _UNITS else (header, "")


def _without_mark(header: str) -> str:
    """Take off what the table reader adds to a name that comes twice."""
    return header.partition("_duplicated_")[0]


def _column(path: str, name: str, header: str, unit: str, kind: InputKind | None) -> Column:
    unit = _SAME_UNIT.get(unit.strip(), unit.strip())
    if name in CONTACTS:
        return Column(name, header, "made")
    if name in SIGNALS:
        return _signal(path, name, header, unit, kind if name == COMMAND else None)
    wanted = _PLAIN_UNIT[name]
    unit = unit or wanted
    try:
        return Column(name, header, unit, 0.0, parse_quantity(f"1 {unit}", wanted))
    except ValueError as error:
        raise _refuse(
            path, f"{header.strip()[:40]}: {error}".split("; ")[0], f"give it in {wanted}"
        ) from None


def _signal(path: str, name: str, header: str, unit: str, kind: InputKind | None) -> Column:
    """Scale a signal to per cent of its span."""
    if match := _SPAN.fullmatch(unit):
        low, high = float(match["low"]), float(match["high"])
        unit = _SAME_UNIT.get(match["unit"].strip(), match["unit"].strip())
    elif kind is not None and SPANS[kind].unit == unit:
        low, high, unit = SPANS[kind]
    elif (unit or "%") in _SPAN_OF_UNIT:
        low, high = _SPAN_OF_UNIT[unit or "%"]
    else:
        wrong = f"{header.strip()[:40]}: which '{unit[:20]}' mean closed and open is not told"
        raise _refuse(path, wrong, f"say it, for example --column '{name}=0-10 V'")
    if low == high:
        raise _refuse(path, f"{header.strip()[:40]}: a span from {low:g} to {high:g}", "give two ends")
    return Column(name, header, f"{low:g}-{high:g} {unit or '%'}", low, 100 / (high - low))


def _refuse(path: str, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(path, "stroke-header", wrong, cure)])
