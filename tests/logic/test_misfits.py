"""Parts of an aircraft file that ask for what another part does not have."""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.errors import LogicError
from panelbridge.logic.kit.declarations import Misfit
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.systems import misfits_of
from tests.logic.build import twin

NO_PRESSURE = "this needs hydraulic pressure, and the aircraft file has no hydraulics"
WHEELS = [{"name": "left", "side": "left"}, {"name": "right", "side": "right"}]
BRAKES: dict[str, Any] = {
    "wheels": WHEELS,
    "needs_hydraulics": False,
    "parking_brake": False,
    "emergency_brake": False,
}
ANTISKID: dict[str, Any] = {"left_leg": "left", "right_leg": "right"}


def supply(engine: int, *serves: str) -> dict[str, Any]:
    return {"engine": engine, "serves": list(serves)}


def hydraulics(*supplies: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"supplies": list(supplies), **more}


def misfits(**groups: Any) -> list[Misfit]:
    return list(misfits_of(twin(**groups)))


def places(**groups: Any) -> list[str]:
    """Where the misfits are, as dotted paths."""
    return [".".join(str(step) for step in misfit.path) for misfit in misfits(**groups)]


def test_an_aircraft_that_asks_for_nothing_fits() -> None:
    assert (
        misfits(gear_power={"power": "electric_pack"}, steering={"needs_hydraulics": False}) == []
    )


@pytest.mark.parametrize(
    ("groups", "place"),
    [
        ({"handle_lock": {"leg": "tail"}}, "handle_lock.leg"),
        ({"gear_order": {"extend": [["nose"], ["left", "tail"]]}}, "gear_order.extend.1.1"),
        ({"gear_order": {"retract": [["tail"], ["left"]]}}, "gear_order.retract.0.0"),
        ({"brakes": BRAKES, "antiskid": {**ANTISKID, "left_leg": "tail"}}, "antiskid.left_leg"),
        ({"brakes": BRAKES, "antiskid": {**ANTISKID, "right_leg": "tail"}}, "antiskid.right_leg"),
    ],
)
def test_a_leg_that_is_not_there_is_reported_where_it_is_named(
    groups: dict[str, Any], place: str
) -> None:
    (misfit,) = misfits(**groups)
    assert ".".join(str(step) for step in misfit.path) == place
    assert misfit.what == "no leg is named 'tail'"
    assert misfit.hint == "The legs are nose, left, right"
    assert misfit.choices == ("nose", "left", "right")
    assert not misfit.is_key


def test_legs_that_are_there_fit_wherever_they_are_named() -> None:
    order = {"extend": [["nose"], ["left", "right"]], "retract": [["left", "right"], ["nose"]]}
    groups = {"handle_lock": {"leg": "left"}, "gear_order": order}
    assert misfits(**groups, brakes=BRAKES, antiskid=ANTISKID) == []


def test_anti_skid_needs_brakes() -> None:
    assert misfits(antiskid=ANTISKID) == [
        Misfit(
            ("antiskid",),
            "anti-skid needs the braked wheels, and the aircraft file has no brakes",
            "Add 'brakes:' with its wheels",
        )
    ]
    assert misfits(antiskid=ANTISKID, brakes=BRAKES) == []


@pytest.mark.parametrize(
    ("emergency", "fits"),
    [(None, False), ({"means": "free_fall"}, False), ({"means": "air"}, True)],
)
def test_the_emergency_brake_needs_a_bottle(emergency: dict[str, Any] | None, fits: bool) -> None:
    found = misfits(brakes={**BRAKES, "emergency_brake": True}, emergency=emergency)
    wrong = Misfit(
        ("brakes", "emergency_brake"),
        "the emergency brake works by the air of a bottle, and the aircraft has none",
        "Write 'emergency_brake: false', or add 'emergency: { means: air }'",
    )
    assert found == ([] if fits else [wrong])
    assert misfits(brakes=BRAKES, emergency=emergency) == []


NEEDS: list[tuple[dict[str, Any], str, str]] = [
    ({"gear_power": {"power": "hydraulic"}}, "gear_power.power", "gear"),
    (
        {"steering": {"steering_leg": "nose", "needs_hydraulics": True}},
        "steering.needs_hydraulics",
        "gear",
    ),
    (
        {"brakes": {**BRAKES, "needs_hydraulics": True}},
        "brakes.needs_hydraulics",
        "wheel_brakes",
    ),
]


@pytest.mark.parametrize(("groups", "place", "consumer"), NEEDS)
def test_what_needs_pressure_needs_a_supply_that_serves_it(
    groups: dict[str, Any], place: str, consumer: str
) -> None:
    path = tuple(place.split("."))
    without = "power: none_needed" if path[-1] == "power" else f"{path[-1]}: false"
    assert misfits(**groups) == [
        Misfit(path, NO_PRESSURE, f"Add 'hydraulics:', or write '{without}'")
    ]
    assert misfits(**groups, hydraulics=hydraulics(supply(1, "flaps"))) == [
        Misfit(
            path,
            f"this needs pressure for '{consumer}', and no supply serves it",
            f"Add '{consumer}' to 'serves:' of a supply, or write '{without}'",
        )
    ]
    assert misfits(**groups, hydraulics=hydraulics(supply(1, "flaps"), supply(2, consumer))) == []
    pump = {"serves": [consumer]}
    assert misfits(**groups, hydraulics=hydraulics(supply(1, "flaps"), aux_pump=pump)) == []


def test_a_parking_brake_needs_pressure_only_where_the_brakes_do() -> None:
    parks = {**BRAKES, "parking_brake": True}
    assert places(brakes=parks) == []
    assert places(brakes={**parks, "needs_hydraulics": True}) == [
        "brakes.needs_hydraulics",
        "brakes.parking_brake",
    ]
    serves = hydraulics(supply(1, "wheel_brakes"))
    assert misfits(brakes={**parks, "needs_hydraulics": True}, hydraulics=serves) == [
        Misfit(
            ("brakes", "parking_brake"),
            "this needs pressure for 'parking_brake', and no supply serves it",
            "Add 'parking_brake' to 'serves:' of a supply, or write 'parking_brake: false'",
        )
    ]


def test_a_supply_stands_on_an_engine_that_there_is() -> None:
    assert misfits(hydraulics=hydraulics(supply(1, "gear"), supply(2, "gear"))) == []
    assert misfits(hydraulics=hydraulics(supply(1, "gear"), supply(3, "gear"))) == [
        Misfit(
            ("hydraulics", "supplies", 1, "engine"),
            "there is no engine 3: the aircraft has 2",
            "Write the number of an engine, from 1 on",
        )
    ]


@pytest.mark.parametrize(
    ("name", "better"),
    [
        ("flaps_moving", "flaps_moving_amber"),
        ("Flaps MOVING!", "flaps_moving_amber"),
        ("2nd_pump", "nd_pump_amber"),
        ("---", "lamp_amber"),
        ("a_very_long_name_of_a_lamp_that_has_no_end", "a_very_long_name_of_a_la_amber"),
        ("flaps_pink", "flaps_pink_amber"),
        ("amber", "amber_amber"),
    ],
)
def test_a_lamp_of_its_own_has_its_colour_in_its_name(name: str, better: str) -> None:
    lamp = {"label": "words", "lit_when": {"flap_deg": {"above": 10}}}
    assert misfits(own_lamps={name: lamp}) == [
        Misfit(
            ("own_lamps", name),
            f"a lamp cannot be named '{name}': its name must end in its colour",
            f"Small letters, digits and underscores: {better}",
            is_key=True,
        )
    ]
    assert misfits(own_lamps={better: lamp}) == []
    for colour in ("red", "amber", "green", "white", "blue"):
        assert misfits(own_lamps={f"flaps_{colour}": lamp}) == []


def test_every_misfit_is_reported_and_systems_are_not_made_of_them() -> None:
    groups: dict[str, Any] = {
        "handle_lock": {"leg": "tail"},
        "gear_power": {"power": "hydraulic"},
        "antiskid": ANTISKID,
    }
    assert places(**groups) == ["gear_power.power", "handle_lock.leg", "antiskid"], "as in ORDER"
    with pytest.raises(LogicError, match=rf"gear_power\.power: {NO_PRESSURE}") as caught:
        PanelLogic(twin(**groups))
    assert caught.value.hint == "Add 'hydraulics:', or write 'power: none_needed'"


def test_a_leg_slower_than_the_travel_limit_does_not_fit() -> None:
    """By hand: the right leg's door, lock and travel down, 2 + 1 + 12 s, against 13.5 s."""
    legs = [
        {"name": "nose"},
        {"name": "left", "unlock_s": 0.5, "extend_s": 13.0, "retract_s": 13.0},
        {
            "name": "right",
            "unlock_s": 1.0,
            "extend_s": 12.0,
            "retract_s": 6.0,
            "door": {"open_s": 2.0},
        },
    ]
    power = {"power": "electric_pack", "travel_limit_s": 13.5}
    assert misfits(legs=legs, gear_power=power) == [
        Misfit(
            ("legs", 2, "extend_s"),
            "the right leg needs 15 s to go down, and is cut off before",
            "Lower it, or raise 'gear_power.travel_limit_s', which is 13.5 s",
        )
    ]
    assert misfits(legs=legs, gear_power={**power, "travel_limit_s": 15.0}) == []


@pytest.mark.parametrize("key", ["vlo_kias", "vlo_extend_kias", "vlo_retract_kias"])
def test_to_move_faster_than_to_be_out_is_warned_of_and_taken(key: str) -> None:
    limits = {key: 180.0, "vle_kias": 170.0}
    (found,) = misfits(speed_limits=limits)
    assert found.is_warning
    assert found.path == ("speed_limits", key)
    assert misfits(speed_limits={**limits, "vle_kias": 180.0}) == []
    assert misfits(speed_limits={key: 180.0}) == []
    PanelLogic(twin(speed_limits=limits))


@pytest.mark.parametrize(
    "groups",
    [
        {"handle_lock": {"leg": "tail"}},
        {"gear_power": {"power": "electric_pack", "nominal_v": 24.0, "stall_v": 24.0}},
        {"gear_power": {"power": "electric_pack", "stall_v": 9.0}},
        {"brake_heat": {}},
        {"brakes": {**BRAKES, "needs_hydraulics": True}},
    ],
)
def test_each_says_what_is_wrong_and_what_to_do(groups: dict[str, Any]) -> None:
    found = misfits(**groups)
    assert found
    assert all(len(one.what) > 20 and len(one.hint) > 10 for one in found)
