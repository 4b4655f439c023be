"""What each terminal and contact of a unit should read at rest, on the move and at each end.

Takes a unit record, gives the rows of a table; may import trade and knowledge.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.setup_document import TerminalRow
from diagnose.explanation.setup_figures import analogue_kind, ohms_at, say_command, say_output
from diagnose.knowledge.unit import UnitRecord

UNKNOWN = "?"
_CONTACTS_DEAD = (
    "Volts and currents live; contacts with the supply off, proved dead, one side lifted "
    "(contact figures: common practice, no source)."
)
CLOSED, OPEN = "< 1 ohm", "> 1 Mohm"


def list_terminals(unit: UnitRecord) -> tuple[TerminalRow, ...]:
    """List what to read where; the contacts dead and one side lifted, all else live."""
    return tuple(
        row for part in (_power(unit), _contacts(unit), _signals(unit), _lamps(unit)) for row in part
    )


def list_notes(unit: UnitRecord) -> tuple[str, ...]:
    """List what must be known to read the table rightly."""
    notes = [_CONTACTS_DEAD, _say_rest(unit)]
    if unit.motor == "single_phase":
        notes.append(
            "The undriven lead of a running capacitor motor carries about supply voltage or more; that is "
            "normal, and it is live."
        )
    if "torque" in {unit.open_seating, unit.closed_seating}:
        notes.append("An end that seats on torque is ended by its torque contact; its limit only signals.")
    if unit.on_loss_of_signal is not None and analogue_kind(unit) is not None:
        notes.append(f"Without a command the unit {unit.on_loss_of_signal}.")
    return tuple(notes)


def _say_rest(unit: UnitRecord) -> str:
    if unit.duty == "on_off" or unit.input_kind == "no_analogue":
        return "At rest: supply on, no command, mid-travel."
    return "At rest: supply on, mid-travel, the command asking for just that."


def _row(place: str, *states: str) -> TerminalRow:
    rest, opening, closing, at_open, at_closed = (state or UNKNOWN for state in states)
    return TerminalRow(
        place=place, rest=rest, opening=opening, closing=closing, at_open=at_open, at_closed=at_closed
    )


def _power(unit: UnitRecord) -> Iterator[TerminalRow]:
    volts = "" if unit.supply_volts is None else f"{unit.supply_volts:g} V"
    running = "" if unit.running_current_a is None else f"to {unit.running_current_a:g} A"
    yield _row("supply", volts, volts, volts, volts, volts)
    if unit.motor == "three_phase":
        yield _row("motor lead to lead, all three", "0 V", volts, volts, "0 V", "0 V")
    elif unit.motor == "dc":
        back = f"-{volts}" if volts else ""
        yield _row("motor leads, open to close", "0 V", f"+{volts}" if volts else "", back, "0 V", "0 V")
    else:
        undriven = "live" if unit.motor == "single_phase" else ""
        yield _row("open lead to common", "0 V", volts, undriven, "0 V", "0 V")
        yield _row("close lead to common", "0 V", undriven, volts, "0 V", "0 V")
    yield _row("motor current", "0 A", running, running, "0 A", "0 A")


def _contacts(unit: UnitRecord) -> Iterator[TerminalRow]:
    yield _row("open limit contact", CLOSED, CLOSED, CLOSED, OPEN, CLOSED)
    yield _row("close limit contact", CLOSED, CLOSED, CLOSED, CLOSED, OPEN)
    for name, seating in (("open", unit.open_seating), ("close", unit.closed_seating)):
        # an end that seats on torque may stand with its contact tripped or spring back
        at_end = {"torque": "tripped or reset", "limit": CLOSED}.get(seating or "", "")
        ends = (at_end, CLOSED) if name == "open" else (CLOSED, at_end)
        yield _row(f"{name} torque contact", CLOSED, CLOSED, CLOSED, *ends)


def _signals(unit: UnitRecord) -> Iterator[TerminalRow]:
    if unit.input_kind != "no_analogue" and unit.duty != "on_off":
        shut, half, full = (say_command(unit, travel) for travel in (0, 50, 100))
        yield _row("command", half, full, shut, full, shut)
    if unit.position_output != "none":
        shut, half, full = (say_output(unit, travel) for travel in (0, 50, 100))
        rising, falling = ("rising", "falling") if full else ("", "")
        yield _row("position output", half, rising, falling, full, shut)
    if unit.pot_total_ohm is not None:
        ohms = [ohms_at(unit, angle) for angle in (0.0, 45.0, 90.0)]
        shut, half, full = ("" if value is None else f"{value:.4g} ohm" for value in ohms)
        yield _row("potentiometer, low end to wiper", half, "rising", "falling", full, shut)


def _lamps(unit: UnitRecord) -> Iterator[TerminalRow]:
    early = "comes 1 to 3 degrees early" if unit.lamp_feed == "separate_switch" else "with the limit"
    lit = f"lit, {early}" if unit.lamp_feed else "lit"
    yield _row("open lamp", "dark", "dark", "dark", lit, "dark")
    yield _row("closed lamp", "dark", "dark", "dark", "dark", lit)
