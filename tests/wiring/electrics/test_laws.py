"""Laws of resistors and sums (our own; no published source)."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.boards import BOARDS
from panelbridge.wiring.electrics.budget import board_current, budget
from panelbridge.wiring.electrics.circuits import LedCircuit
from panelbridge.wiring.electrics.currents import CurrentRange, total
from panelbridge.wiring.electrics.drivers import array_heat_w
from panelbridge.wiring.electrics.findings.sums import lost_v
from panelbridge.wiring.electrics.wired import WiredPanel
from tests.wiring.electrics.panels import wired

CURRENTS = st.builds(
    lambda typical, more: CurrentRange(typical, typical + more),
    st.floats(0, 1000),
    st.floats(0, 1000),
)
KEYS = st.fixed_dictionaries(
    {},
    optional={
        "forward_v": st.floats(1.3, 3.4),
        "current_ma": st.floats(0.5, 30),
        "resistor_ohm": st.floats(47, 10_000),
        "leds": st.integers(1, 8),
        "active_low": st.booleans(),
        "driver": st.sampled_from(["none", "transistor_array", "mosfet", "npn"]),
        "supply": st.sampled_from(["board", "twelve"]),
    },
)
LAMPS = st.lists(
    st.tuples(st.sampled_from(["red", "amber", "green", "white", "blue"]), KEYS),
    min_size=1,
    max_size=10,
)
KINDS = st.sampled_from([*BOARDS])


def panel_of(kind: str, lamps: list[tuple[str, dict[str, object]]]) -> WiredPanel:
    """Lamps on the first pins of a board."""
    board = BOARDS[kind]  # type: ignore[index]
    free = [pin.name for pin in board.pins.values() if pin.digital and not pin.reserved]
    lines = []
    for number, (colour, keys) in enumerate(lamps):
        said = "".join(
            f", {key}: {str(value).lower()}" for key, value in keys.items() if value != ""
        )
        lines.append(f"  l{number}_{colour}: {{ pin: {free[number]}{said} }}\n")
    return wired(
        f"boards:\n  main: {{ board: {kind} }}\nlamps:\n{''.join(lines)}"
        "electrics: { supplies: { twelve: { voltage_v: 12, limit_ma: 1000 } } }\n"
    )


@given(KINDS, LAMPS)
def test_a_proposed_resistor_gives_no_more_than_is_wanted_and_the_worst_is_the_most(
    kind: str, lamps: list[tuple[str, dict[str, object]]]
) -> None:
    for part in panel_of(kind, lamps).parts:
        circuit = part.circuit
        assert isinstance(circuit, LedCircuit)
        assert 0 <= circuit.each.typical_ma <= circuit.each.worst_ma
        if circuit.resistor is not None and circuit.resistor.proposed:
            assert circuit.each.typical_ma <= circuit.wanted_ma * (1 + 1e-6)
            assert circuit.each.typical_ma > circuit.wanted_ma * 0.8  # E12: the step is 1.22


@given(KINDS, LAMPS)
def test_one_more_lamp_never_lowers_a_sum(
    kind: str, lamps: list[tuple[str, dict[str, object]]]
) -> None:
    fewer, more = panel_of(kind, lamps[:-1] or lamps), panel_of(kind, lamps)
    now = {line.subject: line.current for line in budget(more)}
    for line in budget(fewer):
        assert now[line.subject].typical_ma >= line.current.typical_ma - 1e-9
        assert now[line.subject].worst_ma >= line.current.worst_ma - 1e-9
        assert line.current.worst_ma >= line.current.typical_ma
    before, after = (board_current(panel.boards["main"]) for panel in (fewer, more))
    assert after.worst_ma >= before.worst_ma - 1e-9


@given(st.lists(CURRENTS), st.lists(CURRENTS))
def test_sums_are_additive(first: list[CurrentRange], second: list[CurrentRange]) -> None:
    both, parts = total(first + second), total(first) + total(second)
    assert abs(both.typical_ma - parts.typical_ma) < 1e-6
    assert abs(both.worst_ma - parts.worst_ma) < 1e-6
    assert both.worst_ma >= both.typical_ma
    assert (total(first) * 3).worst_ma == total(first).worst_ma * 3


@given(st.floats(0, 100), st.floats(0, 5000), st.floats(0, 5000))
def test_more_current_loses_more(length_m: float, low_ma: float, more_ma: float) -> None:
    assert lost_v(length_m, 24, low_ma) <= lost_v(length_m, 24, low_ma + more_ma)
    assert lost_v(length_m, 22, low_ma) <= lost_v(length_m, 28, low_ma)


@given(st.lists(st.floats(0, 500), max_size=8), st.floats(0, 500))
def test_one_more_output_never_cools_an_array(currents: list[float], more: float) -> None:
    assert array_heat_w([*currents, more]) >= array_heat_w(currents)
