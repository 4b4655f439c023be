"""What the tests of stroke logs share: a simulated unit, logged, written, read back and analysed."""

import pytest
from stroke_simulation import simulate, write_csv

from diagnose.facts.stroke.loading import LogOptions
from diagnose.facts.stroke.observations import read_facts
from diagnose.facts.stroke.reporting import build_report, load_analysis


@pytest.fixture
def analyse_file(knowledge):
    """Give a function that analyses a log file."""

    def analyse(path, unit=None, **options):
        analysis, columns = load_analysis(path, LogOptions(**options), knowledge.stroke_limits, unit)
        return build_report(analysis, columns, unit, read_facts(analysis, knowledge, unit))

    return analyse


@pytest.fixture
def run_log(tmp_path, analyse_file):
    """Give a function that simulates a unit on a staircase of commands and analyses its log."""

    def run(simulated, levels, hold=25, *, unit=None, **logged):
        path = write_csv(tmp_path / "run.csv", simulate(simulated, levels, hold, **logged))
        return analyse_file(path, unit)

    return run
