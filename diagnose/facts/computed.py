"""Readings worked out of others by the calculations of the trade, before they are compared.

Takes measured readings and the unit record, gives more measured readings; may import trade and knowledge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from diagnose.facts.inputs import ensure_allowed
from diagnose.facts.readings import Measured, ensure_in_range
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.seeing import Computed, Taken
from diagnose.knowledge.unit import UnitRecord
from diagnose.trade.catalogue.model import Calculation, Value

# Readings by id, all taken between the same two repairs.
Moment = Mapping[str, Measured]


def compute_readings(
    knowledge: Knowledge, measured: Iterable[Measured], unit: UnitRecord | None
) -> tuple[Measured, ...]:
    """Work out every reading that follows from the ones measured and was not read off itself.

    Args:
        knowledge: The rule base.
        measured: Readings as measured.
        unit: The unit record, where there is one.

    Returns:
        Readings with their uncertainty, in order of moment and id; none where the numbers do not go together.
    """
    return tuple(
        found for _, found in _try_all(knowledge, tuple(measured), unit) if isinstance(found, Measured)
    )


def find_impossible(
    knowledge: Knowledge, measured: Iterable[Measured], unit: UnitRecord | None
) -> Iterator[tuple[Measured, str]]:
    """Find readings that do not go together.

    Returns:
        The last reading of each such calculation, and what is wrong, in one clause.
    """
    for last, found in _try_all(knowledge, tuple(measured), unit):
        if isinstance(found, str):
            yield last, found


def _try_all(
    knowledge: Knowledge, measured: tuple[Measured, ...], unit: UnitRecord | None
) -> Iterator[tuple[Measured, Measured | str]]:
    """Work out what can be, each with the last reading it came from; what cannot be gives the reason."""
    for after in dict.fromkeys(one.after for one in measured):
        moment = {one.reading: one for one in measured if one.after == after}
        for record in knowledge.computed.values():
            if record.gives in moment or not set(record.sources) <= set(moment):
                continue
            last = moment[record.sources[-1]]
            try:
                found = _work_out(knowledge, record, moment, unit)
            except ValueError as error:
                yield last, str(error)
            else:
                if found is not None:
                    yield last, found


def collect_inputs(record: Computed, moment: Moment, unit: UnitRecord | None) -> dict[str, Value]:
    """Collect the inputs of a calculation that are known.

    Args:
        record: Says where each comes from.
        moment: The readings taken at one time.
        unit: The unit record, where there is one.

    Returns:
        Values by input; one that neither a reading nor the record tells is left out.
    """
    values = {name: _value_of(taken, moment, unit) for name, taken in record.takes.items()}
    return {name: value for name, value in values.items() if value is not None}


def _work_out(
    knowledge: Knowledge, record: Computed, moment: Moment, unit: UnitRecord | None
) -> Measured | None:
    """Work one reading out; None where the unit record lacks what it needs.

    Raises:
        ValueError: The values do not go together, or the result cannot be.
    """
    calculation = find_calculation(record.calculation)
    known = collect_inputs(record, moment, unit)
    if len(known) < len(record.takes):
        return None
    value = _run(calculation, record, known)
    ensure_in_range(knowledge.readings[record.gives], value)
    doubt = sum(
        _doubt(calculation, record, known, name, moment[taken.reading].uncertainty)
        for name, taken in record.takes.items()
        if taken.reading is not None
    )
    reading = knowledge.readings[record.gives]
    told = ", ".join(_say(knowledge, moment[source]) for source in record.sources)
    words = f"{value:.4g} {reading.unit}, worked out ({record.calculation}) of: {told}"
    after = moment[record.sources[-1]].after
    # a number that follows without doubt still came through a meter's last digit
    return Measured(record.gives, value, doubt or reading.uncertainty, words, after)


def find_calculation(name: str) -> Calculation:
    """Find a calculation of the catalogue by its name."""
    # the catalogue takes longer to import than a rule base needs to reason, and few cases want it
    from diagnose.trade.catalogue.every import BY_ID

    return BY_ID[name]


def _value_of(taken: Taken, moment: Moment, unit: UnitRecord | None) -> Value | None:
    if taken.reading is not None:
        return moment[taken.reading].value if taken.reading in moment else None
    if taken.unit_field is not None:
        return getattr(unit, taken.unit_field) if unit is not None else None
    return taken.value


def _run(calculation: Calculation, record: Computed, known: Mapping[str, Value]) -> float:
    """Run a calculation for the one result that is wanted.

    Raises:
        ValueError: A value out of range, values that do not go together, or no number.
    """
    complete: dict[str, Value] = {i.name: i.default for i in calculation.inputs if i.default is not None}
    complete |= known
    for wanted in calculation.inputs:
        ensure_allowed(wanted, complete[wanted.name])
    names = [result.name for result in calculation.results]
    value = calculation.run(complete)[names.index(record.result)]
    if isinstance(value, str):
        raise ValueError(f"{calculation.id} gives no number here: {value}")  # noqa: TRY004 - a fault of the values
    return abs(value) if record.sign_dropped else value


def _doubt(
    calculation: Calculation, record: Computed, known: Mapping[str, Value], name: str, uncertainty: float
) -> float:
    """Tell how far the result may be off because one input is: the greater of both ways, signs kept."""
    signed = record.model_copy(update={"sign_dropped": False})
    middle, moved = _run(calculation, signed, known), 0.0
    for step in (-uncertainty, uncertainty):
        try:
            there = _run(calculation, signed, {**known, name: float(known[name]) + step})
        except ValueError:
            continue  # a step out of the range: the other way still tells
        moved = max(moved, abs(there - middle))
    return moved


def _say(knowledge: Knowledge, measured: Measured) -> str:
    record = knowledge.readings[measured.reading]
    told = measured.words or f"{measured.value:g} {record.unit}"
    return f"{record.says[0].lower()}{record.says[1:]} {told}"
