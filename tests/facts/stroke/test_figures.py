"""Figures of simulated units: each lies where the unit's known flaws put it, within its own doubt."""

import re

import pytest
from stroke_simulation import STEP, Unit

from diagnose.explanation.stroke_text import render_stroke
from diagnose.knowledge.unit import UnitRecord

FIVE = [0, 25, 50, 75, 100, 75, 50, 25, 0]
STROKES = [0, 100, 0, 100, 0]
STEPS = [50, 60, 70, 60, 50, 40, 50]
# stop order at zero error: the unit runs past by its coast, speed times delay
COAST = 100 / 20 * 0.05
# what one time step of the simulation moves at either of two stops
GRID = 2 * 100 / 20 * STEP


def has(figure, truth, slack=0.0):
    """Tell whether the range of a figure holds the truth, and is no wider than it must be."""
    high = figure.high if figure.high is not None else float("inf")

    return figure.low - slack <= truth <= high + slack


@pytest.mark.parametrize("noise", [0.0, 0.05, 0.2])
@pytest.mark.parametrize("interval", [0.02, 0.05, 0.1])
def test_a_lag_gives_its_dead_time_and_step_times(run_log, noise, interval):
    """T63 is dead time + tau and T86 dead time + 2 tau, as the solution of a first-order lag says."""
    report = run_log(Unit(lag=1.0, dead_time=0.4), STEPS, 12, noise=noise, interval=interval)

    assert has(report.figure("dead_time"), 0.4)
    assert has(report.figure("t63"), 1.4)
    assert has(report.figure("t86"), 2.4, slack=0.02)


@pytest.mark.parametrize("noise", [0.0, 0.05, 0.3])
@pytest.mark.parametrize("stroke", [5.0, 20.0, 60.0])
def test_a_motor_at_constant_speed_gives_its_stroke_time(run_log, noise, stroke):
    """The stroke time of either direction holds the simulated one, with and without noise."""
    report = run_log(Unit(stroke=stroke, dead_band=0.8), STROKES, stroke + 8, noise=noise)

    assert has(report.figure("stroke_time_opening"), stroke)
    assert has(report.figure("stroke_time_closing"), stroke)
    assert report.figure("stroke_time_opening").high < 1.3 * stroke


def test_stroke_time_is_judged_by_the_unit_record(run_log):
    """A quarter above the nominal time is outside, and without a record nothing is judged."""
    slow, fast = UnitRecord(asset="V-3", stroke_time_s=10), UnitRecord(asset="V-3", stroke_time_s=20)

    verdicts = [
        run_log(Unit(), STROKES, unit=unit).figure("stroke_time_opening").verdict
        for unit in (slow, fast, None)
    ]

    assert ["outside", "within", "not judged"] == verdicts


@pytest.mark.parametrize("noise", [0.0, 0.05])
def test_dead_band_lies_between_the_reversal_ignored_and_the_one_followed(run_log, noise):
    """The unit starts at half its dead band, less the coast it has run past: 0.5 - 0.25 % here."""
    levels = [40, 50, 49.9, 50, 49.85, 50, 49.7, 50.1]

    figure = run_log(Unit(dead_band=1.0), levels, 12, noise=noise).figure("dead_band")

    assert has(figure, 1.0 / 2 - COAST)
    assert 0.1 < figure.low
    assert figure.high <= 0.4


def test_resolution_lies_between_the_step_ignored_and_the_one_followed(run_log):
    """Going on in the same direction takes half the dead band and the coast: 0.75 % here."""
    figure = run_log(Unit(dead_band=1.0), [40, 50, 50.3, 50.6, 51.2, 53], 12).figure("resolution")

    assert has(figure, 1.0 / 2 + COAST)
    assert 0.6 == pytest.approx(figure.low, abs=0.01)


@pytest.mark.parametrize("noise", [0.0, 0.1])
def test_five_points_give_error_and_hysteresis(run_log, noise):
    """At rest the unit stands its coast beyond the command, so the directions differ by twice the coast."""
    report = run_log(Unit(dead_band=0.8), FIVE, noise=noise)

    assert has(report.figure("hysteresis"), 2 * COAST, slack=GRID)
    assert has(report.figure("point_error"), COAST, slack=GRID)
    assert has(report.figure("zero_error"), 0)
    assert has(report.figure("span_error"), 0)
    assert has(report.figure("linearity"), 0, slack=GRID)


@pytest.mark.parametrize("noise", [0.0, 0.1])
def test_play_shows_as_hysteresis(run_log, noise):
    """Play of 4 % between feedback and travel, less the coast both ways, is the gap between directions."""
    report = run_log(Unit(dead_band=0.8, play=4), FIVE, noise=noise)

    assert has(report.figure("hysteresis"), 4 - 2 * COAST, slack=GRID)
    assert "outside" == report.figure("hysteresis").verdict


def test_ends_and_their_spread(run_log):
    """Travel that ends at 96 % is 4 % short each time, without spread."""
    report = run_log(Unit(top=96), STROKES)

    assert has(report.figure("travel_open_short"), 4)
    assert "outside" == report.figure("travel_open_short").verdict
    assert "within" == report.figure("end_spread_open").verdict
    assert "within" == report.figure("travel_closed_short").verdict


def test_overshoot_of_a_ringing_unit(tmp_path, analyse_file):
    """A second-order unit of damping 0.5 overshoots exp(-pi d / sqrt(1 - d2)) = 16.3 % of its step."""
    import numpy as np
    from scipy import signal
    from stroke_simulation import write_csv

    time = np.arange(0, 60, 0.05)
    command = np.where(time < 10, 40.0, np.where(time < 35, 50.0, 40.0))
    _, travel, _ = signal.lsim(([1], [1, 1, 1]), command - 40, time)
    path = write_csv(tmp_path / "ring.csv", {"time": time, "command": command, "position": travel + 40})

    figure = analyse_file(path).figure("overshoot")

    assert has(figure, 10 * np.exp(-np.pi * 0.5 / np.sqrt(0.75)))
    assert "outside" == figure.verdict


@pytest.mark.parametrize("delay", [0.3, 0.5])
def test_coast_is_speed_times_delay(run_log, delay):
    """The run-on after drive off, seen by the motor current, is speed times delay."""
    report = run_log(Unit(stroke=20, delay=delay, dead_band=8), STEPS, 12)

    assert has(report.figure("coast"), 100 / 20 * delay)


@pytest.mark.parametrize("noise", [0.0, 0.05])
def test_a_limit_cycle_has_twice_the_coast(run_log, noise):
    """Stopping at zero error with a coast above half the dead band cycles at twice the coast."""
    report = run_log(Unit(stroke=20, delay=0.3, dead_band=1.0), [50, 50.8, 50.8, 50.8], 12, noise=noise)
    cycle = report.cycles[0]

    assert 2 * 100 / 20 * 0.3 == pytest.approx(cycle.amplitude, abs=0.1 + 4 * noise)
    # from turn to turn: run of 3 %, pause 0.2 s and dead time 0.3 s, both ways
    assert 2 * (3 / 5 + 0.5) == pytest.approx(cycle.period, rel=0.1)
    assert "outside" == report.figure("cycle_amplitude").verdict


def test_a_slow_cycle_near_the_noise_is_found(tmp_path, analyse_file):
    """A swing of 0.8 % every 20 s shows through noise of 0.2 % a sample."""
    import numpy as np
    from stroke_simulation import write_csv

    time = np.arange(0, 300, 0.1)
    travel = 50 + 0.4 * np.sin(2 * np.pi * time / 20) + np.random.default_rng(2).normal(0, 0.2, len(time))
    path = write_csv(tmp_path / "c.csv", {"time": time, "command": 0 * time + 50, "position": travel})

    (cycle,) = analyse_file(path).cycles

    assert 0.8 == pytest.approx(cycle.amplitude, rel=0.25)
    assert 20 == pytest.approx(cycle.period, rel=0.1)


@pytest.mark.parametrize("seed", range(5))
def test_noise_alone_is_no_cycle(tmp_path, analyse_file, seed):
    """A resting unit under noise does not cycle, however long the log."""
    import numpy as np
    from stroke_simulation import write_csv

    time = np.arange(0, 600, 0.05)
    travel = 50 + np.random.default_rng(seed).normal(0, 0.1, len(time))
    path = write_csv(tmp_path / "n.csv", {"time": time, "command": 0 * time + 50, "position": travel})

    assert () == analyse_file(path).cycles


@pytest.mark.parametrize("noise", [0.0, 0.05])
def test_a_tight_spot_shows_in_current_and_time_both_ways(run_log, noise):
    """Twice the current and half the speed between 40 and 50 % travel are found there."""
    report = run_log(Unit(spot=(40, 50), load=2.0), STROKES, 30, noise=noise)

    assert {(what, way) for what in ("current", "time") for way in ("opening", "closing")} == {
        (spot.what, spot.way) for spot in report.spots
    }
    assert {(40, 50)} == {(spot.from_travel, spot.to_travel) for spot in report.spots}
    assert has(report.figure("current_rise"), 2)
    assert has(report.figure("time_rise"), 2, slack=0.05)


def test_an_even_stroke_has_no_spot(run_log):
    """A healthy stroke rises nowhere."""
    report = run_log(Unit(), STROKES, 30, noise=0.1)

    assert () == report.spots
    assert "within" == report.figure("time_rise").verdict


def test_starts_and_duty_follow_from_the_current(run_log):
    """Four strokes of 20 s in 150 s are 96 starts an hour and 53 % running."""
    report = run_log(Unit(), STROKES, 30)

    assert has(report.figure("starts_per_hour"), 4 / 150 * 3600)
    assert has(report.figure("duty"), 100 * (4 * 20.05) / 150)


def test_contacts_and_standstill_are_listed_in_order(run_log):
    """With a coast beyond its trip the limit comes first, then drive off, then standstill."""
    report = run_log(Unit(open_limit=97, close_limit=3, delay=0.4, dead_band=2), STROKES, 30)
    opening = next(stroke for stroke in report.strokes if stroke.way == "opening")

    assert ["open limit", "drive off", "standstill"] == [
        part.split(" at ")[0] for part in opening.order.split(", then ")
    ]
    assert ("open_limit",) == opening.made
    assert has(report.figure("coast"), 2)


def test_figures_without_noise_are_known_to_their_last_place_only(tmp_path, analyse_file):
    """A current logged as 1.6 A throughout is known to half a tenth, and a travel that never moves too."""
    rows = [f"{n},{0 if n < 30 else 100},{50.0},{1.6 if 30 <= n < 50 else 0.0}" for n in range(80)]
    path = tmp_path / "log.csv"
    path.write_text(
        "time [s],command [%],position [%],motor_current [A]\n" + "\n".join(rows), encoding="utf-8"
    )
    still = analyse_file(path)
    moving = path.read_text(encoding="utf-8").splitlines()
    moving[1:] = [
        f"{n},{0 if n < 30 else 100},{min(100, max(0, (n - 30) * 5))}.0,{1.6 if 30 <= n < 50 else 0.0}"
        for n in range(80)
    ]
    path.write_text("\n".join(moving), encoding="utf-8")
    current = analyse_file(path).figure("running_current")

    assert (1.55, 1.65) == (pytest.approx(current.low), pytest.approx(current.high))
    assert 0.1 == pytest.approx(still.grain)


def test_no_travel_is_printed_as_minus_zero(run_log):
    """A closed end a hair below zero is 0.0 %, not -0.0 %."""
    text = render_stroke(run_log(Unit(), STROKES, 28, noise=0.05), 1)

    assert "Strokes" in text
    assert [] == re.findall(r"-0\.0+(?![0-9])", text)
