"""A reading worked out at the terminal: its inputs asked for one by one, then formula and result.

Takes the rule base and a case, gives prompts and a case with the inputs; may import explanation and facts.
The inputs are kept, not the result: a reading that follows from others is worked out wherever a case is read.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.explanation.calculation_document import build_worked
from diagnose.explanation.calculation_text import say_briefly
from diagnose.facts.case_file import Case
from diagnose.facts.case_readings import CaseReading, build_measured
from diagnose.facts.computed import (
    Moment,
    collect_inputs,
    compute_readings,
    find_calculation,
    find_impossible,
)  # fmt: skip
from diagnose.facts.inputs import ensure_allowed, read_input
from diagnose.facts.quantity import parse_quantity
from diagnose.facts.readings import Measured, ensure_in_range
from diagnose.facts.stroke.into_case import latest_repair
from diagnose.interfaces.prompts import Prompt, say_where
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.seeing import Computed
from diagnose.knowledge.unit import UnitRecord
from diagnose.trade.catalogue.model import Input

# Name of the unit record that is begun where a case has none.
UNNAMED = "this unit"


@dataclass(frozen=True)
class Working:
    """A reading that is being worked out; each input is kept in the case as it is given.

    Attributes:
        name: The entry of `computed` in the rule base.
        observation: What the reading is to decide.
        look: The look for whose sake it is measured.
    """

    name: str
    observation: str
    look: str


def drop_result(case: Case, working: Working, knowledge: Knowledge) -> Case:
    """Let a reading that was read off before give way to the one to be worked out."""
    gives, after = knowledge.computed[working.name].gives, latest_repair(case)
    kept = tuple(r for r in case.readings if (r.reading, r.after) != (gives, after))
    return case.model_copy(update={"readings": kept})


def find_missing(working: Working, case: Case, knowledge: Knowledge) -> str | None:
    """Name the next input that is not known yet; None where all are."""
    record = knowledge.computed[working.name]
    known = collect_inputs(record, _moment(case, knowledge), case.unit)
    return next((name for name in record.takes if name not in known), None)


def _moment(case: Case, knowledge: Knowledge) -> Moment:
    after = latest_repair(case)
    return {r.reading: build_measured(r, knowledge) for r in case.readings if r.after == after}


def reading_of_input(working: Working, name: str, knowledge: Knowledge) -> str | None:
    """Name the reading that an input is; None where it stands on the nameplate."""
    return knowledge.computed[working.name].takes[name].reading


def ask_input(working: Working, name: str, cautions: tuple[str, ...], knowledge: Knowledge) -> Prompt:
    """Ask for one input of a calculation, with its unit."""
    record = knowledge.computed[working.name]
    calculation = find_calculation(record.calculation)
    detail = [f"for: {knowledge.readings[record.gives].says}, worked out by {calculation.id}"]
    taken = record.takes[name]
    if taken.reading is not None:
        reading = knowledge.readings[taken.reading]
        detail.append(f"where: {say_where(knowledge, reading.access)}")
        text, hint = reading.question, f"a reading in {reading.unit}"
    else:
        wanted = _find_input(record, name)
        text, hint = _say_question(wanted), _say_form(wanted)
        detail.append("where: on the nameplate or in the data of the unit; kept with the unit record")
    hint += "; Enter to leave it"
    return Prompt("input", name, text, tuple(detail), cautions=cautions, hint=hint, step=working.look)


def _find_input(record: Computed, name: str) -> Input:
    return next(i for i in find_calculation(record.calculation).inputs if i.name == name)


def _say_question(wanted: Input) -> str:
    says = f"{' or '.join(wanted.choices)}: {wanted.says}" if wanted.choices else f"{wanted.says}?"
    return f"{says[0].upper()}{says[1:]}"


def _say_form(wanted: Input) -> str:
    return " or ".join(wanted.choices) if wanted.choices else f"as {wanted.example}"


def say_why_input(working: Working, knowledge: Knowledge) -> tuple[str, ...]:
    """Say what the inputs are asked for."""
    record = knowledge.computed[working.name]
    calculation = find_calculation(record.calculation)
    return (f"{calculation.title}: {'; '.join(calculation.formula)}. Source: {record.source}.",)


def take_input(working: Working, case: Case, name: str, text: str, knowledge: Knowledge) -> Case:
    """Take one input as typed.

    Args:
        working: What is worked out.
        case: The case with the inputs given so far.
        name: The input.
        text: As typed, with its unit.
        knowledge: The rule base.

    Returns:
        The case with the input as a reading, or in its unit record.

    Raises:
        ValueError: Not a value of this input, in one clause, or values that do not go together.
    """
    record = knowledge.computed[working.name]
    wanted, taken = _find_input(record, name), record.takes[name]
    if taken.reading is not None:
        reading = knowledge.readings[taken.reading]
        value = parse_quantity(text, reading.unit)
        ensure_in_range(reading, value)
        ensure_allowed(wanted, value)
        told = CaseReading(reading=taken.reading, value=text, after=latest_repair(case))
        changed = case.model_copy(update={"readings": (*case.readings, told)})
    else:
        data = case.unit.model_dump(exclude_none=True) if case.unit else {"asset": UNNAMED}
        unit = UnitRecord.model_validate({**data, str(taken.unit_field): read_input(wanted, text)})
        changed = case.model_copy(update={"unit": unit})
    if find_missing(working, changed, knowledge) is None:
        find_result(working, changed, knowledge)
    return changed


def find_result(working: Working, case: Case, knowledge: Knowledge) -> Measured:
    """Give the reading that follows once every input is known.

    Raises:
        ValueError: The values do not go together.
    """
    gives = knowledge.computed[working.name].gives
    measured = list(_moment(case, knowledge).values())
    found = next((m for m in compute_readings(knowledge, measured, case.unit) if m.reading == gives), None)
    if found is None:
        raise ValueError(next((wrong for _, wrong in find_impossible(knowledge, measured, case.unit)),
                              "these values give no result"))  # fmt: skip
    return found


def say_result(working: Working, case: Case, knowledge: Knowledge) -> tuple[str, ...]:
    """Say formula, inserted numbers, source, and the result that counts as the reading."""
    record, found = knowledge.computed[working.name], find_result(working, case, knowledge)
    inputs = collect_inputs(record, _moment(case, knowledge), case.unit)
    worked = build_worked(find_calculation(record.calculation), inputs)
    reading = knowledge.readings[record.gives]
    result = f"{found.value:.4g} ± {found.uncertainty:.2g} {reading.unit}"
    return (*say_briefly(worked), f"Taken as the reading: {reading.says}: {result}")
