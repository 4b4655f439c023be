"""Flow and density are read as one types them."""

import pytest

from diagnose.facts.quantity import parse_quantity


@pytest.mark.parametrize(
    "text", ["36 m3/h", "36 m³/h", "36m3/h", "10 l/s", "600 l/min", "0.01 m3/s", "0,01 m3/s"]
)
def test_flow_is_read_with_and_without_a_raised_figure(text):
    """Cubic metres an hour may be typed with a plain 3, and other units of flow become them."""
    assert pytest.approx(36) == parse_quantity(text, "m3/h")


@pytest.mark.parametrize("text", ["998 kg/m3", "998 kg/m³", "0.998 kg/l"])
def test_density_is_read_in_either_unit(text):
    """Density may be typed per cubic metre or per litre."""
    assert pytest.approx(0.998) == parse_quantity(text, "kg/l")


@pytest.mark.parametrize("text", ["36 m2/h", "36 m3", "36 l"])
def test_what_is_no_flow_is_refused(text):
    """An area or a volume is not taken for a flow."""
    with pytest.raises(ValueError, match="m3/h is wanted"):
        parse_quantity(text, "m3/h")
