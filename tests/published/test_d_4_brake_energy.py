"""D-4: 14 CFR 25.735(h)(1), (2): stored energy of the brakes. L-1 to L-4, L-6, L-8. D-6."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.kit.curves import Boyle, Line
from tests.logic.brake_jet import BrakeJet
from tests.logic.test_brakes import apply, braked, left, stage, without_power

CUBIC_INCH_L = 0.016387064
L_4: dict[str, Any] = {"full_psi": 1390.0, "application_l": 2.0 * CUBIC_INCH_L}


def with_l_4(exponent: float) -> Any:
    """50 in3 at 900 psi, charged to 3,000, 1,390 psi of full braking, 2.0 in3 each."""
    gas = {"gas_volume_l": 50.0 * CUBIC_INCH_L, "precharge_psi": 900.0, "gas_exponent": exponent}
    return without_power(**L_4, accumulator=gas)


def test_the_gas_law_is_in_absolute_pressure() -> None:
    """L-1: AMT Handbook-General ch. 3; here at one temperature: 20 to 15 cu ft at 1,000 psig."""
    gas = Boyle(Line(), 20.0, 1000.0)
    assert gas.of(5.0) == pytest.approx(1014.7 * 20.0 / 15.0 - 14.7)
    assert gas.of(5.0) != pytest.approx(1000.0 * 20.0 / 15.0, abs=1.0), "in gauge: wrong"


def test_usable_fluid_slow_and_fast() -> None:
    """L-2: 10 gal, precharge 1,000, 3,000 to 1,200 psi: 4.99 gal slowly, 3.08 gal fast."""
    for exponent, usable in ((1.0, 4.99), (1.4, 3.08)):
        gas = Boyle(Line(), 10.0, 1000.0, exponent=exponent, charged_psi=3000.0)
        assert gas.volume_l(3000.0) - gas.volume_l(1200.0) == pytest.approx(usable, abs=0.005)


def test_the_gauge_falls_to_the_precharge_and_then_to_zero() -> None:
    """L-3: NAVEDTRA 14018 and 14315: the needle drops suddenly from the preload to zero."""
    brakes = with_l_4(1.0)
    seen = [brakes.value("brake_accumulator_psi")]
    while seen[-1]:
        apply(brakes)
        seen.append(brakes.value("brake_accumulator_psi"))
    assert all(one > after for one, after in pairwise(seen))
    assert not [one for one in seen if 0.0 < one < 900.0]


@pytest.mark.parametrize(
    ("exponent", "after", "full"),
    [
        (1.0, (2649, 2371, 2146, 1959, 1802, 1669, 1553, 1453, 1364), 8),
        (1.4, (2520, 2158, 1876, 1652, 1469, 1319), 5),
    ],
)
def test_applications_by_pressure(exponent: float, after: tuple[int, ...], full: int) -> None:
    """L-4, by hand, with 25.735(h)(1): 8 full ones slowly, 5 fast, which fails the rule of six."""
    brakes = with_l_4(exponent)
    assert left(brakes) == full
    pressures, reached = [], []
    for _ in after:
        brakes.after(1.0, pedals=(1.0, 1.0))
        pressures.append(brakes.value("brake_accumulator_psi"))
        reached.append(brakes.value("left_brake_psi"))
        brakes.after(1.0, pedals=(0.0, 0.0))
    assert pressures == pytest.approx(after, abs=0.6)
    assert [psi == 1390.0 for psi in reached] == [True] * full + [False] * (len(after) - full)


def test_nine_full_applications_of_the_twin_jet() -> None:
    """25.735(h)(1), engines dead, anti-skid off; by hand 1.4 l at 964.7 psia, 0.05 l each."""
    jet = BrakeJet()
    seen, indicated = [], [jet.value("brake_applications_left")]
    for _ in range(9):
        jet.at(jet.now_s + 1.0, pedals=1.0)
        assert jet.value("left_brake_psi") == jet.value("right_brake_psi") == 1450.0
        seen.append(jet.value("brake_accumulator_psi"))
        jet.at(jet.now_s + 1.0, pedals=0.0)
        indicated.append(jet.value("brake_applications_left"))
    by_hand = [2575, 2349, 2159, 1997, 1857, 1736, 1629, 1535, 1451]
    assert seen == pytest.approx(by_hand, abs=0.5)
    assert indicated == [float(number) for number in range(9, -1, -1)], "it falls each time"
    assert jet.lit("brake_energy_low_amber"), "(h)(2): low no later than with none left"
    jet.at(jet.now_s + 1.0, pedals=1.0)
    assert jet.value("left_brake_psi") < 1450.0, "the tenth is not full"


def test_the_shipped_aircraft_have_six() -> None:
    """25.735(h)(1): each aircraft file of ours that stores energy."""
    from panelbridge.logic.brakes.parameters import BrakesParameters
    from panelbridge.logic.brakes.store import store_of

    for name in ("twin_jet", "four_engine_freighter"):
        aircraft = load_aircraft(shipped_config(f"aircraft/{name}.yaml"))
        store = store_of(aircraft)
        assert store is not None
        assert aircraft.group(BrakesParameters).needs_hydraulics
        nominal_l = store.gas.volume_l(aircraft.hydraulics.nominal_psi)
        assert store.left(nominal_l) >= 6, name


@pytest.mark.parametrize("antiskid", [True, False])
def test_anti_skid_on_draws_more(antiskid: bool) -> None:
    """L-6: US Navy 1278BK1 and P-1239: on, the accumulator empties rapidly."""
    jet = BrakeJet(antiskid=antiskid)
    jet.at(jet.now_s + 1.0, pedals=1.0)
    before_psi = jet.value("brake_accumulator_psi")
    for rpm in (50.0, 900.0) * 4:
        jet.at(jet.now_s + 0.5, left_outer_rpm=rpm)
    used = before_psi - jet.value("brake_accumulator_psi")
    assert used == pytest.approx(2575.3 - 2348.7, abs=0.2) if antiskid else used == 0.0


@pytest.mark.parametrize("antiskid", [True, False])
def test_anti_skid_on_with_the_accumulator_alone_is_a_caution(antiskid: bool) -> None:
    """L-6: US Navy 1278BK1: it must be off then. That 4 s pass before: our own decision."""
    jet = BrakeJet(antiskid=antiskid)
    lost_s = jet.now_s
    assert jet.value("brake_source") == "accumulator", "the pumps are dead"
    jet.at(lost_s + 3.9)
    assert not jet.lit("antiskid_drains_amber")
    jet.at(lost_s + 4.1)
    assert jet.lit("antiskid_drains_amber") is antiskid
    jet.at(lost_s + 6.0, engines=True)
    jet.at(lost_s + 40.0)
    assert not jet.lit("antiskid_drains_amber"), "the supply is back"


def test_loss_of_supply_does_not_empty_the_brakes() -> None:
    """L-8: TM 55-1520-240-23-6 p. 7-621: a check valve; no reverse flow."""
    jet = BrakeJet()
    jet.logic.set_fault(jet.now_s, "hydraulics", "leaking")
    jet.at(jet.now_s + 1000.0)
    assert jet.value("hydraulic_gauge_psi") == 0.0
    assert jet.value("brake_accumulator_psi") == 2850.0


def test_the_emergency_brake_is_equal_on_both_sides() -> None:
    """D-6, common practice, no source: no differential braking with the emergency brake."""
    for pedals in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)):
        brakes = stage()
        brakes.after(1.0, pedals=pedals)
        brakes.after(1.0, emergency_lever=0.7)
        assert braked(brakes) == (0.7,) * 4
