"""The gauge of an aircraft without hydraulics, and what misfits of the pressure are found."""

from __future__ import annotations

from math import nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.hydraulics.consumers import unserved
from panelbridge.logic.hydraulics.gauge import FedPressure
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.hydraulics.system import Hydraulics
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.declarations import Misfit
from panelbridge.logic.kit.system import Build
from tests.logic.scenes.hydraulics import Scene, a_twin, changed_twin
from tests.logic.stage import Stage


class Aircraft:
    """As much of an aircraft file as the hydraulics read."""

    def __init__(self, hydraulics: HydraulicsParameters | None, engines: int = 2) -> None:
        self.hydraulics, self.engines = hydraulics, engines
        self.authority: Any = self

    def optional(self, kind: type[object]) -> HydraulicsParameters | None:
        """Its hydraulics, when they are asked for."""
        assert kind is HydraulicsParameters
        return self.hydraulics


def gauge() -> Stage[FedPressure]:
    stage = Stage(FedPressure(), {"psi": HYDRAULIC_PRESSURE_PSI, "bus_powered": BUS_POWERED})
    stage.at(0.0)
    return stage


def shown(stage: Stage[FedPressure]) -> float | None:
    (one,) = stage.system.gauges
    return one.read(stage.loop.world(stage.now_s))


@pytest.mark.parametrize(
    ("psi", "shows"),
    [
        (None, None),
        (nan, None),
        (0.0, 0.0),
        (4.9, 0.0),
        (5.0, 0.0),
        (5.1, 10.0),
        (15.0, 20.0),
        (2996.0, 3000.0),
        (12_000.0, 12_000.0),
    ],
)
def test_it_shows_the_nearest_ten_psi(psi: float | None, shows: float | None) -> None:
    stage = gauge()
    stage.at(1.0, psi=psi)
    assert shown(stage) == shows
    assert stage.value("hydraulic_gauge_psi") == shows
    stage.at(2.0, bus_powered=False)
    assert stage.value("hydraulic_gauge_psi") is None


@given(st.lists(st.one_of(st.none(), st.floats(0.0, 5000.0)), max_size=20))
def test_law_it_is_woken_exactly_when_the_gauge_moves(reported: list[float | None]) -> None:
    stage, before = gauge(), None
    for psi in reported:
        steps = None if psi is None else round(psi / 10.0)
        assert stage.loop.set(HYDRAULIC_PRESSURE_PSI, psi) is (steps != before)
        stage.after(0.02)
        assert shown(stage) == (None if steps is None else steps * 10.0)
        before = steps


def test_with_hydraulics_these_move_the_gauge() -> None:
    with_them, without = Build(Aircraft(a_twin()), None), Build(Aircraft(None), None)
    assert FedPressure.of(with_them) is None
    assert Hydraulics.of(without) is None
    assert isinstance(FedPressure.of(without), FedPressure)
    hydraulics = Hydraulics.of(with_them)
    assert hydraulics is not None
    assert [one.name for one in hydraulics.gauges] == ["hydraulic_pressure"]
    scene = Scene(changed_twin(gauge_step_psi=25.0), authority="feed", fed_psi=2525.0)
    assert scene.gauge_psi == 2525.0
    assert scene.value("hydraulic_gauge_psi") == 2520.0, "whole tens, the even one of two"
    scene.at(1.0, bus_powered=False)
    assert scene.value("hydraulic_gauge_psi") is None
    assert [command.read(scene.loop.world(1.0)) for command in hydraulics.commands] == [
        False,
        scene.consumers,
    ]


def test_a_supply_of_an_engine_that_is_not_there_does_not_fit() -> None:
    assert list(Hydraulics.misfits(Aircraft(a_twin()))) == []
    assert list(Hydraulics.misfits(Aircraft(None))) == []
    (misfit,) = Hydraulics.misfits(Aircraft(a_twin(), engines=1))
    assert misfit.path == ("hydraulics", "supplies", 1, "engine")
    assert misfit.what == "there is no engine 2: the aircraft has 1"


def test_a_consumer_that_no_supply_serves_does_not_fit() -> None:
    path = ("gear_power", "power")

    def found(hydraulics: HydraulicsParameters | None) -> list[Misfit]:
        return list(unserved(Aircraft(hydraulics), path, "spoilers"))

    assert found(a_twin()) == []
    by_aux = a_twin().model_dump()["aux_pump"]
    assert found(changed_twin(supplies=[], aux_pump={**by_aux, "serves": ["spoilers"]})) == []
    (none,) = found(None)
    assert none.path == path
    assert none.what == "this needs hydraulic pressure, and the aircraft file has no hydraulics"
    (not_served,) = found(changed_twin(supplies=[]))
    assert not_served.what == "this needs pressure for 'spoilers', and no supply serves it"
    assert not_served.hint == "Add 'spoilers' to 'serves:' of a supply, or write 'power: false'"
