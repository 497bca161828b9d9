from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.output_entries import GaugeEntry
from panelbridge.link.session import OutputValues, SetupPlan
from panelbridge.link.session.output_values import pulse_us
from panelbridge.signals import HornPattern, Outputs
from tests.link.conftest import make_panel

OUTPUTS = st.builds(
    Outputs,
    st.dictionaries(st.sampled_from(["nose_green", "nose_red"]), st.integers(0, 255)),
    st.sampled_from(HornPattern),
    st.dictionaries(
        st.just("hydraulic_pressure"), st.sampled_from([0.0, 1500.0, 9000.0, float("nan")])
    ),
)


@pytest.mark.parametrize(
    ("outputs", "values"),
    [
        (Outputs(), (0, 0, 0, 0)),
        (Outputs({"nose_red": 255, "left_green": 9}), (0, 255, 0, 0)),
        (Outputs(horn=HornPattern.INTERMITTENT), (0, 0, 1, 0)),
        (Outputs(horn=HornPattern.CONTINUOUS), (0, 0, 2, 0)),
        (Outputs(gauges={"hydraulic_pressure": 1000.0}), (0, 0, 0, 1250)),
    ],
)
def test_values_of_outputs(panel: PanelFile, outputs: Outputs, values: tuple[int, ...]) -> None:
    assert OutputValues(SetupPlan.of(panel, "gear")).of(outputs) == values


@pytest.mark.parametrize(
    ("pressure_psi", "pulse"),
    [
        (0.0, 2000),
        (4000.0, 1000),
        (2000.0, 1500),
        (-50.0, 2000),
        (9999.0, 1000),
        (None, 0),
        (float("nan"), 0),
        (float("inf"), 0),
    ],
)
def test_a_needle_that_turns_the_other_way(pressure_psi: float | None, pulse: int) -> None:
    gauge = GaugeEntry(board="gear", pin="D9", pulse_at_0_us=2000, pulse_at_1_us=1000)
    assert pulse_us(gauge, pressure_psi) == pulse


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_pulse_is_always_within_its_limits(pressure_psi: float) -> None:
    gauge = GaugeEntry(board="gear", pin="D9", pulse_at_0_us=700, pulse_at_1_us=2300)
    assert 700 <= pulse_us(gauge, pressure_psi) <= 2300


@given(st.lists(OUTPUTS, max_size=6))
def test_what_was_shown_before_does_not_matter(sequence: list[Outputs]) -> None:
    plan = SetupPlan.of(make_panel(), "gear")
    values = OutputValues(plan)
    assert [values.of(outputs) for outputs in sequence] == [
        OutputValues(plan).of(outputs) for outputs in sequence
    ]
