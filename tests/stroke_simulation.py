"""A small actuator on paper: a motor at constant speed, or a lag, with every flaw set to a known size.

Times in s, travel and command in per cent. The figures that a log of it must show are the parameters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

STEP = 0.005


@dataclass(frozen=True)
class Unit:
    """What the simulated unit is like.

    Attributes:
        stroke: Seconds for 0 to 100 %.
        dead_time: Seconds from the order to the first movement.
        lag: Time constant of a first-order unit in place of the motor; None for the motor.
        dead_band: Total dead band: the motor starts at half of it.
        delay: Seconds from the stop order to standstill; coast is speed times delay.
        top, bottom: Travel at which something ends it.
        gain, offset: Travel at rest = gain * command + offset.
        play: Backlash between the feedback and the travel that is logged.
        spot: From, to (per cent) where the current is multiplied and the speed divided by `load`.
        open_limit, close_limit: Travel at which a limit takes the drive away; None for none.
        torque_on_block: The torque contact of the direction trips when the travel is blocked.
        pause: Seconds before a start after a stop.
    """

    stroke: float = 20.0
    dead_time: float = 0.3
    lag: float | None = None
    dead_band: float = 1.0
    delay: float = 0.05
    top: float = 100.0
    bottom: float = 0.0
    gain: float = 1.0
    offset: float = 0.0
    play: float = 0.0
    spot: tuple[float, float] = (0.0, 0.0)
    load: float = 1.0
    open_limit: float | None = None
    close_limit: float | None = None
    torque_on_block: bool = False
    pause: float = 0.2
    current: float = 1.0


class _State:
    """Where the unit stands while it is reckoned through."""

    def __init__(self, unit: Unit, travel: float) -> None:
        self.unit, self.travel, self.shown = unit, travel, travel
        self.going, self.wanted, self.wait, self.left, self.rest = 0, 0, 0.0, -1.0, 0.0
        self.torque_open = self.torque_close = False

    def advance(self, command: float) -> None:
        """Go on by one time step."""
        error = (command - (self.travel - self.unit.offset) / self.unit.gain) if self.unit.gain else 0.0
        if self.going:
            self._run(error)
        else:
            self._wait(error)
        play = self.unit.play / 2
        self.shown = min(max(self.shown, self.travel - play), self.travel + play)

    def _wait(self, error: float) -> None:
        self.rest -= STEP
        wanted = 0 if abs(error) <= self.unit.dead_band / 2 or self.rest > 0 else (1 if error > 0 else -1)
        if self._is_ended(wanted):
            wanted = 0
        self.wait = self.wait + STEP if wanted and wanted == self.wanted else 0.0
        self.wanted = wanted
        if wanted and self.wait >= self.unit.dead_time:
            self.going, self.left = wanted, -1.0
            self.torque_open = self.torque_close = False

    def _is_ended(self, way: int) -> bool:
        unit = self.unit
        by_limit = (way > 0 and unit.open_limit is not None and self.travel >= unit.open_limit) or (
            way < 0 and unit.close_limit is not None and self.travel <= unit.close_limit
        )
        by_torque = (way > 0 and self.torque_open) or (way < 0 and self.torque_close)
        blocked = (way > 0 and self.travel >= unit.top) or (way < 0 and self.travel <= unit.bottom)
        return bool(by_limit or by_torque or blocked)

    def _run(self, error: float) -> None:
        unit = self.unit
        low, high = unit.spot
        speed = 100 / unit.stroke / (unit.load if low <= self.travel <= high else 1.0)
        self.travel = min(max(self.travel + self.going * speed * STEP, unit.bottom), unit.top)
        if unit.torque_on_block and self.travel >= unit.top and self.going > 0:
            self.torque_open = True
        if unit.torque_on_block and self.travel <= unit.bottom and self.going < 0:
            self.torque_close = True
        if self.left < 0 and (error * self.going <= 0 or self._is_ended(self.going)):
            self.left = unit.delay
        if self.left >= 0:
            self.left -= STEP
            if self.left < STEP / 2:
                self.going, self.rest, self.wait, self.left = 0, unit.pause, 0.0, -1.0


def simulate(
    unit: Unit,
    levels: Sequence[float],
    hold: float,
    *,
    interval: float = 0.05,
    noise: float = 0.0,
    grain: float = 0.0,
    seed: int = 1,
    start: float | None = None,
) -> dict[str, np.ndarray]:
    """Log a unit on a staircase of commands.

    Args:
        unit: The unit.
        levels: Commands in per cent.
        hold: Seconds for each.
        interval: Seconds between rows.
        noise: Standard deviation of the logged travel.
        grain: Step of the logged travel.
        seed: Of the noise.
        start: Travel at the beginning; where the first command leads when left out.

    Returns:
        Columns by our name.
    """
    count = round(len(levels) * hold / STEP)
    clock = np.arange(count) * STEP
    command = np.asarray(levels, float)[np.minimum((clock / hold + 1e-9).astype(int), len(levels) - 1)]
    first = unit.gain * command[0] + unit.offset
    first = min(max(first, unit.bottom), unit.top) if start is None else start
    log = _lagging(unit, command, first) if unit.lag else _driven(unit, command, first)
    every = max(1, round(interval / STEP))
    log = {name: array[::every] for name, array in {"time": clock, "command": command, **log}.items()}
    rng = np.random.default_rng(seed)
    log["position"] = (
        log["position"] + rng.normal(0, noise, len(log["position"])) if noise else log["position"]
    )
    if grain:
        log["position"] = np.round(log["position"] / grain) * grain
    return log


def _lagging(unit: Unit, command: np.ndarray, first: float) -> dict[str, np.ndarray]:
    late = np.concatenate((np.full(round(unit.dead_time / STEP), command[0]), command))[: len(command)]
    travel, out = first, np.empty(len(command))
    share = 1 - np.exp(-STEP / unit.lag)
    for number, wanted in enumerate(late):
        out[number] = travel
        travel += (unit.gain * wanted + unit.offset - travel) * share
    return {"position": out}


def _driven(unit: Unit, command: np.ndarray, first: float) -> dict[str, np.ndarray]:
    state = _State(unit, first)
    rows = np.empty((len(command), 5))
    low, high = unit.spot
    for number, wanted in enumerate(command):
        load = unit.load if low <= state.travel <= high else 1.0
        rows[number] = (
            state.shown,
            unit.current * load if state.going and state.left < 0 else 0.0,
            state.travel,
            state.torque_open,
            state.torque_close,
        )
        state.advance(wanted)
    log = {"position": rows[:, 0], "motor_current": rows[:, 1]}
    if unit.open_limit is not None:
        log["open_limit"] = (rows[:, 2] >= unit.open_limit).astype(float)
    if unit.close_limit is not None:
        log["close_limit"] = (rows[:, 2] <= unit.close_limit).astype(float)
    if unit.torque_on_block:
        log["open_torque"], log["close_torque"] = rows[:, 3], rows[:, 4]
    return log


def write_csv(path, log, header=None, separator=","):
    """Write a log as CSV."""
    names = header or list(log)
    lines = [separator.join(names)]
    lines += [separator.join(f"{value:.6g}" for value in row) for row in zip(*log.values(), strict=True)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
