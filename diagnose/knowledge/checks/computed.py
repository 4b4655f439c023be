"""Check `computed`: a reading that is worked out names a calculation there is, with inputs and units that fit.

Takes Located, gives faults; may import trade.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Fault
from diagnose.knowledge.located import Located
from diagnose.knowledge.seeing import Computed, Taken
from diagnose.knowledge.unit import UnitRecord
from diagnose.knowledge.validate import suggest
from diagnose.knowledge.yaml_nodes import Key
from diagnose.trade.catalogue.every import BY_ID
from diagnose.trade.catalogue.model import Calculation, Input

# Endings of the unit record's numbers, and the unit each stands for.
ENDINGS = {
    "volts": "V",
    "hertz": "Hz",
    "a": "A",
    "uf": "uF",
    "nm": "Nm",
    "s": "s",
    "percent": "%",
    "hour": "1/h",
    "mm": "mm",
    "ohm": "ohm",
    "ratio": "",
    "deg": "deg",
    "turns": "",
    "bar": "bar",
}


def check_computed(base: Located) -> Iterator[Fault]:
    """Find readings worked out by what there is not, twice, in a chain, or from another unit; and idle ones."""
    computed = base.knowledge.computed
    given = [record.gives for record in computed.values()]
    for name, record in computed.items():
        if given.count(record.gives) > 1:
            yield _fault(base, (name, "gives"), f"'{record.gives}' is worked out twice", "keep one of them")
        for source in record.sources:
            if source in given:
                wrong = f"'{source}' is worked out itself"
                yield _fault(base, (name, "takes"), wrong, "take the readings behind it")
        calculation = BY_ID.get(record.calculation)
        if calculation is None:
            cure = suggest(record.calculation, BY_ID, "see `diagnose calc`")
            yield _fault(base, (name, "calculation"), f"no calculation '{record.calculation}'", cure)
            continue
        yield from _check_inputs(base, name, record, calculation)
        yield from _check_result(base, name, record, calculation)
    yield from _check_idle(base)


def _check_inputs(base: Located, name: str, record: Computed, calculation: Calculation) -> Iterator[Fault]:
    inputs = {wanted.name: wanted for wanted in calculation.inputs}
    for taken, origin in record.takes.items():
        key = (name, "takes", taken)
        if taken not in inputs:
            cure = suggest(taken, inputs, f"it takes {', '.join(inputs)}")
            yield _fault(base, key, f"'{calculation.id}' takes no '{taken}'", cure)
        elif not _fits(base, inputs[taken], origin):
            wanted = inputs[taken].unit or " or ".join(inputs[taken].choices) or "a plain number"
            yield _fault(base, key, f"'{taken}' wants {wanted}", "take it from where it has that unit")
    for missing in sorted(
        w.name for w in inputs.values() if w.default is None and w.name not in record.takes
    ):
        yield _fault(
            base, (name, "takes"), f"'{calculation.id}' also needs '{missing}'", "say where it comes from"
        )


def _fits(base: Located, wanted: Input, origin: Taken) -> bool:
    """Tell whether unit or words of an origin are those of the input."""
    if origin.reading is not None:
        return not wanted.choices and base.knowledge.readings[origin.reading].unit == wanted.unit
    if origin.unit_field is not None:
        if wanted.choices:
            return "Literal" in str(UnitRecord.model_fields[origin.unit_field].annotation)
        return ENDINGS.get(origin.unit_field.rsplit("_", 1)[-1]) == wanted.unit
    if wanted.choices:
        return origin.value in wanted.choices
    return isinstance(origin.value, float | int) and wanted.lowest <= origin.value <= wanted.highest


def _check_result(base: Located, name: str, record: Computed, calculation: Calculation) -> Iterator[Fault]:
    results = {result.name: result for result in calculation.results}
    unit = base.knowledge.readings[record.gives].unit
    if record.result not in results:
        cure = suggest(record.result, results, f"it gives {', '.join(results)}")
        yield _fault(base, (name, "result"), f"'{calculation.id}' gives no '{record.result}'", cure)
    elif results[record.result].unit != unit:
        wrong = (
            f"'{record.result}' is in {results[record.result].unit or 'words'}, '{record.gives}' in {unit}"
        )
        yield _fault(base, (name, "result"), wrong, "let the units agree")


def _check_idle(base: Located) -> Iterator[Fault]:
    used = {source for record in base.knowledge.computed.values() for source in record.sources}
    for name, reading in base.knowledge.readings.items():
        if not reading.decides and name not in used:
            wrong = f"the reading '{name}' decides nothing and nothing is worked out of it"
            yield base.fault(("readings", name), "computed", wrong, "let it decide something or remove it")


def _fault(base: Located, key: Key, wrong: str, cure: str) -> Fault:
    return base.fault(("computed", *key), "computed", wrong, cure)
