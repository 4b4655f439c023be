"""The stages of setting a unit up, in the order in which one makes the next safe.

Takes a unit record, gives stages without the sentences of their cautions; may import trade and knowledge.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from diagnose.explanation import setup_figures as figures
from diagnose.explanation.setup_document import Blank, Figure
from diagnose.knowledge.acting import Act
from diagnose.knowledge.unit import UnitRecord

_ANGLES = {"low end to wiper at closed, ohm": 0.0, "low end to wiper at open, ohm": 90.0}
Write = Callable[[UnitRecord], Iterator[Figure]]


@dataclass(frozen=True)
class Plan:
    """One stage before it meets a unit.

    Attributes:
        acts: What is done in it; the acts call for the cautions.
        write: Its figures, where it has any.
        needs: When it is done at all; else the reason it is left out.
        tools: What it takes.
    """

    title: str
    acts: tuple[Act, ...]
    steps: tuple[str, ...]
    blanks: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    write: Write | None = None
    needs: Callable[[UnitRecord], str] | None = None


def _needs_card(unit: UnitRecord) -> str:
    if unit.duty == "on_off" or unit.input_kind == "no_analogue":
        return "Left out: this unit has no analogue command."
    return ""


def _needs_position(unit: UnitRecord) -> str:
    is_plain = unit.duty == "on_off" or unit.input_kind == "no_analogue"
    if is_plain and unit.position_output == "none" and unit.pot_total_ohm is None:
        return "Left out: neither position output nor analogue command needs a potentiometer."
    return ""


POTENTIOMETER = Plan(
    "Potentiometer",
    ("open_cover", "measure_dead", "declutch"),
    (
        "Supply off, proved dead; one end of the potentiometer lifted. Read end to end: it does not change with travel.",
        "By hand from closed to open with a meter on the wiper: smooth, no jump above 1 % of the total, no open place.",
        "Keep 2 to 5 % of the total spare at both ends (common practice, no source); else mesh the gear anew.",
    ),
    ("end to end, ohm", "low end to wiper at closed, ohm", "low end to wiper at open, ohm"),
    ("analogue or min/max meter",),
    figures.write_potentiometer,
    _needs_position,
)
CARD_SPAN = Plan(
    "Card span",
    ("open_cover", "measure_live", "signal_work", "stroke_valve"),
    (
        "Set input kind and acting direction first, then store both ends, zero before span.",
        "Give 0, 25, 50, 75, 100 % and back; write down travel at the stem mark and the position output.",
        "Error within 1 % of span at every point, hysteresis and dead band together within 1.5 % (common practice, no source).",
        "Widen the dead band until it rests at a steady command, and no further.",
    ),
    tuple(
        f"{point} % going {way}"
        for way, points in (("up", (0, 25, 50, 75, 100)), ("down", (75, 50, 25, 0)))
        for point in points
    ),
    ("loop calibrator",),
    figures.write_card,
    _needs_card,
)
PLANS = (
    Plan(
        "Permits and cautions",
        ("open_cover", "touch_terminals"),
        (
            "Have every permit of this sheet signed, the area classed and the medium named, before the cover moves.",
            "Tell operations what will move and when; agree who stands at the control that takes the command away.",
            "Compare the plate with the order: voltage, phases, frequency, torque, stroke time, duty, enclosure.",
            "Supply locked off and proved dead: tug every wire, look for drawing against wiring, earth, screens.",
        ),
        ("plate agrees with the order",),
        ("lock and tags", "meter proved on a known source", "drawing and settings sheet", "lamp"),
    ),
    Plan(
        "Direction jog from mid-travel",
        ("open_cover", "measure_live", "declutch", "energise_after_rewiring", "stroke_valve"),
        (
            "By hand to mid-travel, motor supply off; hand drive back to its motor place.",
            "Supply on; read it at the terminals. One hand stays on the isolator: jog open for half a second. The stem mark turns towards open, or off at once.",
            "Jog closed in the same way. In the wrong direction no end switch stops it: put the leads right first.",
            "While it opens, the second person trips the open limit with an insulated rod: it stops. The same closing.",
        ),
        (
            "supply at the terminals, V",
            "jog open turns to open",
            "jog closed turns to closed",
            "running current opening",
            "running current closing",
        ),
        ("clamp meter", "insulated rod"),
        figures.write_supply,
    ),
    Plan(
        "Ends by hand drive",
        ("declutch", "stroke_valve"),
        (
            "Motor supply locked off. Wind to the closed mark of the stem itself, not of the pointer; note pull and turns.",
            "Wind to the open mark; count the turns of the hand wheel. Nothing is to bind on the way.",
            "Set the pointer to the stem mark at both ends.",
        ),
        ("closed mark to open mark, degrees", "turns of the hand wheel", "tight places"),
        ("protractor or stem mark",),
    ),
    Plan(
        "Cams, less the coast",
        ("open_cover", "touch_terminals", "work_at_parts", "declutch"),
        (
            "Supply locked off and proved dead. By hand to the closed mark, back by the coast; set the close cam to click there.",
            "By hand to the open mark, back by the coast; set the open cam to click there.",
            "Come to each click twice from mid-travel; paint a witness mark over cam and shaft.",
        ),
        ("close trip, degrees", "open trip, degrees"),
        ("hex keys", "paint"),
        figures.write_cams,
    ),
    Plan(
        "Stops",
        ("declutch", "work_at_parts"),
        (
            "Valve at the closed end: run the close stop in until it touches, back it off as below, tighten the jam nut.",
            "The same at the open end. The order is limit, coast, stop; the stop is the last resort.",
            "An end that seats on torque stays clear of its stop. A lined or offset-disc seat is never pushed past by hand.",
        ),
        ("close stop, turns off contact", "open stop, turns off contact"),
        ("two spanners",),
        figures.write_stops,
    ),
    Plan(
        "Torque",
        ("open_cover", "touch_terminals", "torque_setting"),
        (
            "Supply locked off and proved dead. Set both dials between the two limits below, lowest that strokes at full pressure.",
            "Move the torque lever by hand: the contact of that direction opens, and closes when let go.",
        ),
        ("open dial", "close dial"),
        ("screwdriver",),
        figures.write_torque,
    ),
    POTENTIOMETER,
    CARD_SPAN,
    Plan(
        "Loss of signal and loss of supply",
        ("signal_work", "stroke_valve", "stored_energy"),
        (
            "At mid-travel, operations standing by: take the command away at its source; watch where it goes.",
            "Put the command back, wait for rest; take the supply away at the isolator; watch where it goes.",
            "Time what a spring or store does; give supply and command back and see that it follows again.",
        ),
        ("on loss of signal", "on loss of supply"),
    ),
    Plan(
        "Lamps and signals",
        ("stroke_valve",),
        (
            "Stroke to each end; the lamp of that end comes, the other is dark, in the control room too.",
            "With a lamp switch of its own: set it 1 to 3 degrees before the limit (common practice, no source).",
        ),
        ("open lamp", "closed lamp", "trip lamp or alarm"),
    ),
    Plan(
        "Stroke test",
        ("stroke_valve", "energise_after_rewiring"),
        (
            "Three full strokes each way at the real differential pressure; time each, read the running current.",
            "Each ends at its mark within 1 %, by its limit (or torque, where it seats so), no trip, stop not touched.",
            "Cover on, all screws, glands and plugs; local/remote as operations want it; the sheet signed.",
        ),
        (
            "stroke open, s",
            "stroke closed, s",
            "running current at pressure, A",
            "rest at open, %",
            "rest at closed, %",
        ),
        ("stopwatch",),
        figures.write_stroke,
    ),
)


def write_notes(plan: Plan, unit: UnitRecord) -> Iterator[str]:
    """Say what the record of this unit makes different in a stage."""
    if plan.needs is not None and (left_out := plan.needs(unit)):
        yield left_out
        return
    if "measure_live" in plan.acts and unit.hazardous_area != "safe":
        yield "No energised cover is opened while the area is hazardous or nobody knows: gas-free permit first."
    if plan.title in {"Cams, less the coast", "Stops", "Torque"}:
        for end, seating in (("open", unit.open_seating), ("closed", unit.closed_seating)):
            if seating == "torque":
                yield f"The {end} end seats on torque: its cam only signals, its stop stays clear."
            elif seating is None:
                yield f"Nobody has told whether the {end} end is ended by limit or torque: ask first."
    if plan.title == "Loss of signal and loss of supply" and unit.stored_energy not in {None, "none"}:
        yield f"The unit holds a store ({unit.stored_energy.replace('_', ' ')}): it moves by itself."


def write_blanks(plan: Plan, unit: UnitRecord) -> Iterator[Blank]:
    """Give the lines to fill in, with what is expected where it can be told."""
    for label in plan.blanks:
        yield Blank(label=label, expected=_expected(label, unit))


def _expected(label: str, unit: UnitRecord) -> str:
    point, _, way = label.partition(" % going ")
    if way:
        command = figures.say_command(unit, float(point))
        return f"{point} % (at {command})" if command else ""
    ohms = figures.ohms_at(unit, _ANGLES.get(label, 0.0))
    if label in _ANGLES and ohms is not None:
        return f"{ohms:.4g}"
    if label == "supply at the terminals, V" and unit.supply_volts is not None:
        return f"{unit.supply_volts:g} +/-10 %"
    if label == "on loss of signal":
        return unit.on_loss_of_signal or ""
    if label == "on loss of supply":
        return unit.on_loss_of_supply or ""
    if label.startswith("running current") and unit.running_current_a is not None:
        return f"to {unit.running_current_a:g} A"
    if label in {"stroke open, s", "stroke closed, s"} and unit.stroke_time_s is not None:
        return f"{unit.stroke_time_s:g}"
    if label == "end to end, ohm" and unit.pot_total_ohm is not None:
        return f"{unit.pot_total_ohm:g} +/-10 %"
    return ""
