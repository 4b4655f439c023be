"""The forecast of hunting against a simulation in steps of time, which knows nothing of the formulas.

A drive runs at constant speed, is told to run when the error exceeds half the dead band, gets its stop
order by one of three schemes, runs on for the delay, slows evenly and may not reverse before a pause.
Its feedback may be noisy, and once it rests the flow may carry the valve on through its play.
"""

import random
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.trade.positioning import (
    coast_travel,
    dead_band_needed,
    has_limit_cycle,
    hunting_amplitude,
    hunting_starts,
    rest_error,
    smallest_steps,
)

TARGET = 50.0


class Drive(NamedTuple):
    """A drive and its card; times in seconds, the rest in per cent, `ahead` the anticipated coast."""

    band: float
    stroke_time: float
    delay: float
    braking: float = 0.0
    order: str = "at_band"
    pause: float = 0.2
    ahead: float = 0.0
    play: float = 0.0
    noise: float = 0.0
    tick: float = 0.001


class Run(NamedTuple):
    """What a run showed: times and ways of the starts, and the travel at every tick."""

    starts: list[float]
    ways: list[int]
    travels: list[float]

    @property
    def swing(self) -> float:
        """Give the peak-to-peak travel of the second half."""
        late = self.travels[len(self.travels) // 2 :]
        return max(late) - min(late)


def simulate(drive: Drive, seconds: float, start: float = 40.0, target: float = TARGET) -> Run:
    """Walk through time."""
    full = 100 / drive.stroke_time
    travel, speed, way = start, 0.0, 0
    dice = random.Random(1)
    run_on: float | None = None
    resting = drive.pause
    starts, ways, travels = [], [], []
    for number in range(int(seconds / drive.tick)):
        carried = drive.play * ways[-1] if ways and way == 0 else 0.0
        error = target - travel - carried + drive.noise * (dice.random() - 0.5)
        if way == 0:
            resting += drive.tick
            if resting >= drive.pause and abs(error) > drive.band / 2:
                way, speed, run_on = (1 if error > 0 else -1), full, None
                starts.append(number * drive.tick)
                ways.append(way)
        elif run_on is None and is_stop_ordered(drive, error * way):
            run_on = drive.delay
        if way:
            if run_on is not None:
                run_on -= drive.tick
                if run_on < 0:
                    slower = full * drive.tick / drive.braking if drive.braking else full
                    speed = max(0.0, speed - slower)
            travel += way * speed * drive.tick
            if speed == 0.0:
                way, resting = 0, 0.0
        travels.append(travel)
    return Run(starts, ways, travels)


def is_stop_ordered(drive: Drive, ahead_of_us: float) -> bool:
    """Say whether the card takes the drive off; `ahead_of_us` is the error in the direction of the move."""
    if drive.order == "at_band":
        return ahead_of_us <= drive.band / 2
    return ahead_of_us <= drive.ahead


@pytest.mark.parametrize("band", [1.0, 0.8, 0.5, 0.42])
def test_a_band_wider_than_the_coast_rests(band):
    """15 s, 60 ms, coast 0.40 %: one move and rest at the error that the formula gives (derived)."""
    run = simulate(Drive(band, 15, 0.060), 20)

    assert not has_limit_cycle(band, 0.4, "at_band")
    assert (1, 0.0) == (len(run.starts), run.swing)
    assert pytest.approx(rest_error(band, 0.4, "at_band"), abs=0.02) == TARGET - run.travels[-1]


@pytest.mark.parametrize("band", [0.38, 0.30, 0.20])
def test_a_band_narrower_than_the_coast_hunts(band):
    """15 s, 60 ms, coast 0.40 %: a limit cycle of 2 C - W peak to peak (derived)."""
    run = simulate(Drive(band, 15, 0.060), 20)

    assert has_limit_cycle(band, 0.4, "at_band")
    assert len(run.starts) > 50
    assert pytest.approx(2 * 0.4 - band, abs=0.02) == run.swing
    assert pytest.approx(hunting_amplitude(band, 0.4, "at_band"), abs=0.02) == run.swing


@pytest.mark.parametrize(("band", "swing"), [(0.9, 0.0), (0.7, 0.8)])
def test_a_stop_at_zero_needs_twice_the_band(band, swing):
    """Stopped at zero error, coast 0.40 %: rests with 0.9 %, hunts with 0.7 % over twice the coast (derived)."""
    run = simulate(Drive(band, 15, 0.060, order="at_zero"), 20)

    assert (swing > 0) == has_limit_cycle(band, 0.4, "at_zero") == (len(run.starts) > 1)
    assert pytest.approx(swing, abs=0.03) == run.swing
    assert pytest.approx(swing, abs=1e-9) == hunting_amplitude(band, 0.4, "at_zero")


@pytest.mark.parametrize("expected_coast", [0.40, 0.25, 0.55, 0.10])
def test_a_stop_ahead_leaves_what_the_coast_departs_by(expected_coast):
    """Stopped ahead by an expected coast, the difference to the true one decides instead of the coast (derived)."""
    run = simulate(Drive(0.5, 15, 0.060, order="at_zero", ahead=expected_coast), 20)
    departs = abs(0.4 - expected_coast)

    assert has_limit_cycle(0.5, departs, "at_zero") == (len(run.starts) > 1)
    assert pytest.approx(departs, abs=0.02) == max(abs(travel - TARGET) for travel in run.travels[10_000:])


@pytest.mark.parametrize("braking", [0.060, 0.120])
def test_even_braking_adds_its_square(braking):
    """The second part of the coast is v squared over twice the deceleration (kinematics)."""
    coast = coast_travel(15, 0.060, braking)
    run = simulate(Drive(2.0, 15, 0.060, braking), 5)

    assert pytest.approx(rest_error(2.0, coast, "at_band"), abs=0.02) == TARGET - run.travels[-1]


@pytest.mark.parametrize(("band", "order"), [(0.30, "at_band"), (0.15, "at_band"), (0.60, "at_zero")])
@pytest.mark.parametrize("pause", [0.2, 1.0])
def test_starts_an_hour(band, order, pause):
    """Starts an hour follow from the time for one amplitude and the pause (derived)."""
    run = simulate(Drive(band, 15, 0.060, order=order, pause=pause), 20)
    late = [start for start in run.starts if start > 5]
    an_hour = 3600 * (len(late) - 1) / (late[-1] - late[0])

    assert pytest.approx(hunting_starts(hunting_amplitude(band, 0.4, order), 15, pause), rel=0.03) == an_hour


@pytest.mark.parametrize("order", ["at_band", "at_zero"])
def test_smallest_steps_of_a_unit_at_rest(order):
    """A command step a little over the smallest moves the unit at rest, one a little under does not (derived)."""
    drive = Drive(1.0, 15, 0.060, order=order)
    rest = simulate(drive, 5).travels[-1]
    onward, back = smallest_steps(1.0, 0.4, order)

    for step, way in ((onward, 1), (back, -1)):
        moves = [
            bool(simulate(drive, 1, rest, TARGET + way * (step + more)).starts) for more in (-0.02, 0.02)
        ]
        assert [False, True] == moves


@pytest.mark.parametrize("play", [0.1, 0.3, 1.0])
def test_play_takes_its_full_share_of_the_band(play):
    """A little less than coast and play sends the drive back, a little more does not (derived)."""
    needed = dead_band_needed(0.4, play, 0.0)
    turns_back = [
        -1 in simulate(Drive(needed + more, 15, 0.060, play=play), 5).ways for more in (-0.03, 0.03)
    ]

    assert [True, False] == turns_back


@pytest.mark.parametrize(
    ("stroke_time", "play", "noise"), [(15, 0.3, 0.1), (15, 0.0, 0.6), (5, 0.3, 0.1), (60, 0.0, 0.5)]
)
def test_the_band_needed_never_sends_the_drive_back(stroke_time, play, noise):
    """With coast, play and noise covered the drive may be nudged on, but never reverses (derived)."""
    needed = dead_band_needed(coast_travel(stroke_time, 0.060), play, noise)
    run = simulate(Drive(needed + 0.03, stroke_time, 0.060, play=play, noise=noise), 20)

    assert {1} == set(run.ways)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(2, 120),
    st.floats(0.02, 1.0),
    st.one_of(st.floats(0.3, 0.95), st.floats(1.05, 3)),
    st.sampled_from(["at_band", "at_zero"]),
)
def test_forecast_holds_for_any_drive(stroke_time, delay, part, order):
    """Any stroke time, delay and dead band: hunting or not, and how far, as forecast to within the tick (derived)."""
    coast = coast_travel(stroke_time, delay)
    band = part * coast * (1 if order == "at_band" else 2)
    tick = delay / 100
    drive = Drive(band, stroke_time, delay, order=order, pause=delay, tick=tick)
    start = TARGET - band - 2 * coast

    run = simulate(drive, 30 * delay, start)

    assert has_limit_cycle(band, coast, order) == (len(run.starts) > 1)
    assert pytest.approx(hunting_amplitude(band, coast, order), abs=0.04 * coast) == run.swing
