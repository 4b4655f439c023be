"""Entries of torque, stops, cams, positioning and valve over their whole ranges, and the words they judge with."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.trade.catalogue import cams, positioning, stops, torque, valve

CALCULATIONS = {
    calculation.id: calculation
    for part in (torque, stops, cams, positioning, valve)
    for calculation in part.CALCULATIONS
}


def draw(data, wanted):
    """Draw a value of an input: a word, an end of the range, or anything between."""
    if wanted.choices:
        return data.draw(st.sampled_from(wanted.choices))
    ends = st.sampled_from([float(wanted.lowest), float(wanted.highest)])
    return data.draw(st.one_of(ends, st.floats(wanted.lowest, wanted.highest)))


def run_example(id_, **values):
    """Run an entry by name, with its own defaults."""
    calculation = CALCULATIONS[id_]
    defaults = {wanted.name: wanted.default for wanted in calculation.inputs if wanted.default is not None}
    answers = calculation.run(defaults | values)
    return dict(zip((result.name for result in calculation.results), answers, strict=True))


@settings(max_examples=25, deadline=None)
@pytest.mark.parametrize("id_", list(CALCULATIONS))
@given(data=st.data())
def test_values_in_range_give_finite_results_or_one_clause(id_, data):
    """Whatever is allowed gives words and finite numbers, or one line that says what does not go together."""
    calculation = CALCULATIONS[id_]
    values = {wanted.name: draw(data, wanted) for wanted in calculation.inputs}
    answers, refusal = (), ""
    try:
        answers = calculation.run(values)
    except ValueError as error:
        refusal = str(error)

    if refusal:
        assert "\n" not in refusal
        assert any(word in refusal for word in ("must", "no setting fits", "hunts", "lies above"))
        return
    assert len(calculation.results) == len(answers)
    assert all(isinstance(answer, str) or math.isfinite(answer) for answer in answers)


@pytest.mark.parametrize(
    ("voltage", "motor", "left", "verdict"),
    [
        (207, "induction", 81.0, "doubtful"),
        (202.4, "induction", 77.44, "cannot work"),
        (202.4, "permanent_magnet_dc", 88.0, "doubtful"),
        (230, "induction", 100.0, "usual"),
    ],
)
def test_margin_at_a_voltage(voltage, motor, left, verdict):
    """The word follows what the voltage under load leaves of the torque."""
    found = run_example(
        "margin-at-voltage", rated=100.0, needed=80.0, voltage=voltage, nominal=230.0, motor=motor
    )

    assert (pytest.approx(left), verdict) == (found["left"], found["verdict"])


@pytest.mark.parametrize(
    ("stop", "verdict"),
    [
        (-4.3, "in order"),
        (-0.5, "in order, too close"),
        (0.0, "stop met before standstill"),
        (2.0, "stop met before standstill"),
    ],
)
def test_order_of_the_closed_end(stop, verdict):
    """A stop at or before standstill is met first; less than a degree behind is too close."""
    found = run_example(
        "stop-order", close_stop=stop, close_trip=0.6, open_trip=89.4, open_stop=94.3, coast=0.6
    )

    assert (verdict, "in order") == (found["close_verdict"], found["open_verdict"])


@pytest.mark.parametrize(
    ("contact", "verdict"),
    [(0, "within the range"), (1, "refuse: leaves the range"), (-10, "refuse: leaves the range")],
)
def test_a_setting_that_leaves_its_range_is_refused(contact, verdict):
    """Contact offset and back-off together must stay within the adjusting range."""
    assert verdict == run_example("stop-range", contact=contact, pitch=1.5, radius=50.0)["verdict"]


@pytest.mark.parametrize(
    ("band", "order", "verdict", "amplitude"),
    [
        (0.30, "at_band", "hunts", 0.5),
        (0.41, "at_band", "one move, then rest", 0.0),
        (0.70, "at_zero", "hunts", 0.8),
        (0.90, "at_zero", "one move, then rest", 0.0),
    ],
)
def test_hunting_is_told_with_its_amplitude(band, order, verdict, amplitude):
    """A unit that hunts has an amplitude and starts; one that rests has neither."""
    found = run_example("hunting", band=band, stroke_time=15.0, delay=0.06, pause=0.2, order=order)

    assert (verdict, pytest.approx(amplitude)) == (found["verdict"], found["amplitude"])
    assert (amplitude > 0) == (found["starts"] > 0)


@pytest.mark.parametrize(
    ("rest", "noise", "verdict"),
    [
        (0.1, 0.1, "noise leaves it at rest"),
        (0.45, 0.2, "noise starts it once more"),
        (0.0, 1.1, "noise alone keeps starting the motor"),
    ],
)
def test_noise_is_judged_by_rest_and_band(rest, noise, verdict):
    """Noise may leave it, nudge it once, or start it for ever."""
    assert verdict == run_example("noise-nudge", rest=rest, noise=noise, band=1.0)["verdict"]


@pytest.mark.parametrize("characteristic", ["linear", "equal_percentage"])
def test_the_open_valve_passes_its_whole_flow(characteristic):
    """At full travel the share is 100 % whatever characteristic and pipe."""
    found = run_example(
        "flow-at-travel", kv=165.0, travel=100.0, drop=0.25, characteristic=characteristic, authority=0.3
    )

    assert (165.0, 100.0, 82.5) == pytest.approx((found["now"], found["share"], found["flow"]), rel=1e-12)


def test_contacts_of_both_positions():
    """The same two readings are right with the cam in one position and wrong in the other."""
    verdicts = [
        run_example("contact-pair", normally_closed=0.2, normally_open=1e9, cam=cam)["verdict"]
        for cam in ("free", "held")
    ]

    assert ["as it should be", "bad switch or wrong terminals"] == verdicts
