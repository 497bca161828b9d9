"""E-2: band of the pump's pressure switch, 2,475 to 2,775 psi (study cards of a twin turboprop,
a secondary source)."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from panelbridge.logic.hydraulics.parameters import AccumulatorParameters, HydraulicsParameters
from tests.logic.scenes.hydraulics import Scene, a_twin

LEAK_L_PER_S = 0.002


def leaking() -> HydraulicsParameters:
    """The valves' own leak takes 30 s from cut-out to cut-in: 300 psi, 10 psi/s on average."""
    twin = a_twin()
    band_l = 814.7 / 2489.7 - 814.7 / 2789.7  # of one litre of gas (Boyle, absolute)
    gas_l = LEAK_L_PER_S * 30.0 / band_l
    accumulator = AccumulatorParameters(
        gas_volume_l=gas_l, precharge_psi=800.0, precharge_least_psi=750.0, precharge_most_psi=850.0
    )
    numbers = {**twin.model_dump(), "accumulator": accumulator.model_dump()}
    return HydraulicsParameters.model_validate(numbers)


def test_off_at_2775_on_at_2475_and_nothing_within_the_band() -> None:
    """Study cards: pump off at 2,775 psi, on again at 2,475 after leakage of 30 s."""
    scene = Scene(leaking(), aux_switch=True)
    scene.at(300.0)
    switched = [e for e in scene.events if e.name in ("aux_pump_started", "aux_pump_stopped")]
    assert [each.name for each in switched[:5]] == [
        "aux_pump_started",
        "aux_pump_stopped",
        "aux_pump_started",
        "aux_pump_stopped",
        "aux_pump_started",
    ]
    recharge_s = LEAK_L_PER_S * 30.0 / (0.05 - LEAK_L_PER_S)
    times = [each.time_s for each in switched]
    gaps = [after - before for before, after in pairwise(times[1:])]
    assert len(gaps) > 10
    for number, gap in enumerate(gaps):
        assert gap == pytest.approx(30.0 if number % 2 == 0 else recharge_s, abs=1e-6)


def test_pressures_at_which_it_switches() -> None:
    """Study cards: exactly the two pressures."""
    scene = Scene(leaking(), aux_switch=True)
    seen: list[tuple[str, float]] = []
    while scene.now_s < 200.0:
        scene.events.clear()
        scene.at(scene.loop.next_due_s)
        psi = scene.psi
        assert psi is not None
        seen.extend((each.name, psi) for each in scene.events if "aux_pump" in each.name)
    assert len(seen) > 6
    for name, psi in seen[1:]:
        wanted = 2475.0 if name == "aux_pump_started" else 2775.0
        assert psi == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("around_psi", [2475.0, 2775.0, 2625.0])
def test_noise_of_50_psi_makes_no_chatter(around_psi: float) -> None:
    """Study cards: a band of 300 psi: +/-50 psi of the sensor switch at most once."""
    noise = random.Random(7)
    for before_psi in (2000.0, 3000.0):
        scene = Scene(authority="feed", fed_psi=before_psi, aux_switch=True)
        scene.events.clear()
        for _ in range(2000):
            psi = around_psi + noise.uniform(-50.0, 50.0)
            scene.after(0.02, fed_psi=psi)
        assert sum("aux_pump" in each.name for each in scene.events) <= 1
