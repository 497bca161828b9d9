"""The numbers of a hydraulic system: each matters, and those that do not fit are refused."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from pydantic import BaseModel, ValidationError

from panelbridge.config.schemas import schema_of_model
from panelbridge.logic.hydraulics.parameters import (
    CONSUMERS,
    AccumulatorParameters,
    AuxPumpParameters,
    EngineSupplyParameters,
    HydraulicsParameters,
)
from tests.logic.scenes.hydraulics import Scene, a_twin


def put(path: str, value: object) -> HydraulicsParameters:
    """The twin with one value changed."""
    numbers: Any = a_twin().model_dump()
    *way, last = [int(part) if part.isdigit() else part for part in path.split(".")]
    place = numbers
    for part in way:
        place = place[part]
    place[last] = value
    return HydraulicsParameters.model_validate(numbers)


def seen(numbers: HydraulicsParameters) -> list[object]:
    """All that can be seen of a system in one run that touches everything."""
    scene = Scene(numbers)
    found: list[object] = []

    def look() -> None:
        found.extend([scene.values, scene.lit, scene.consumers, scene.gauge_psi])

    scene.at(1.0, engine_running=(True, False))
    for _ in range(40):
        scene.after(0.37)
        look()
    scene.at(20.0, engine_running=(False, True))
    scene.draw(gear=0.4)
    for _ in range(8):
        scene.after(0.37)
        look()
    scene.draw(gear=0.0)
    scene.at(30.0, engine_running=(False, False))
    look()
    scene.at(31.0, aux_switch=True)
    for _ in range(100):
        scene.after(3.7)
        look()
    scene.fault("hydraulics", "leaking")
    scene.draw(gear=0.06)
    for _ in range(100):
        scene.after(7.0)
        look()
    scene.at(1200.0, engine_running=(True, True))
    scene.fault("hydraulics", None)
    for _ in range(50):
        scene.after(1.7)
        look()
    scene.fault("hydraulics", "leaking")
    scene.after(224.0, gear_l_per_s=5.0)  # low on fluid, and then the accumulator gives some back
    look()
    scene.after(0.1)
    look()
    found.extend((each.time_s, each.name) for each in scene.events)
    return found


CHANGES: dict[str, object] = {
    "supplies": [],
    "supplies.0.engine": 3,
    "supplies.0.kind": "engine_pump",
    "supplies.0.flow_l_per_s": 0.25,
    "supplies.0.spool_up_s": 5.0,
    "supplies.0.serves": ["gear"],
    "aux_pump": None,
    "aux_pump.flow_l_per_s": 0.06,
    "aux_pump.cut_in_psi": 2400.0,
    "aux_pump.cut_out_psi": 2800.0,
    "aux_pump.on_limit_s": 200.0,
    "aux_pump.serves": ["gear"],
    "accumulator": {"precharge_psi": 1000.0},
    "accumulator.gas_volume_l": 1.1,
    "accumulator.precharge_psi": 805.0,
    "accumulator.gas_exponent": 1.4,
    "accumulator.serves": ["flaps"],
    "nominal_psi": 2950.0,
    "low_psi": 1400.0,
    "low_clear_psi": 1900.0,
    "usable_psi": 1000.0,
    "usable_again_psi": 1350.0,
    "internal_leak_l_per_s": 0.003,
    "leak_l_per_s": 0.03,
    "reservoir_l": 7.3,
    "fluid_low_l": 2.1,
    "fluid_clear_l": 2.5,
    "gauge_step_psi": 100.0,
}
SHOWN_ELSEWHERE = {
    "relief_psi": "test_relief_is_the_greatest_pressure",
    "accumulator.precharge_least_psi": "test_a_precharge_out_of_its_limits_is_refused",
    "accumulator.precharge_most_psi": "test_a_precharge_out_of_its_limits_is_refused",
}


def names_of(model: type[BaseModel], prefix: str) -> set[str]:
    return {prefix + name for name in model.model_fields}


def test_the_list_of_changes_is_complete() -> None:
    wanted = names_of(HydraulicsParameters, "")
    wanted |= names_of(EngineSupplyParameters, "supplies.0.")
    wanted |= names_of(AuxPumpParameters, "aux_pump.")
    wanted |= names_of(type(a_twin().accumulator), "accumulator.")
    assert wanted == {*CHANGES, *SHOWN_ELSEWHERE}
    assert all(name in globals() for name in SHOWN_ELSEWHERE.values())


@cache
def seen_of_the_twin() -> list[object]:
    return seen(a_twin())


@pytest.mark.parametrize("path", [path for path in CHANGES if path != "supplies.0.kind"])
@pytest.mark.thorough
def test_every_parameter_matters(path: str) -> None:
    assert seen(put(path, CHANGES[path])) != seen_of_the_twin()


def test_the_kind_of_a_supply_matters() -> None:
    numbers: Any = a_twin().model_dump()
    numbers["supplies"][0]["spool_up_s"] = None
    bleed = seen(HydraulicsParameters.model_validate(numbers))
    numbers["supplies"][0]["kind"] = "engine_pump"
    assert seen(HydraulicsParameters.model_validate(numbers)) != bleed


def test_relief_is_the_greatest_pressure() -> None:
    scene = Scene(authority="feed", fed_psi=9000.0)
    assert scene.psi == 3400.0
    scene = Scene(put("relief_psi", 3200.0), authority="feed", fed_psi=9000.0)
    assert scene.psi == 3200.0


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (
            "accumulator.precharge_psi",
            749.0,
            "precharge_least_psi 750.0 is above precharge_psi 749.0",
        ),
        (
            "accumulator.precharge_psi",
            851.0,
            "precharge_psi 851.0 is above precharge_most_psi 850.0",
        ),
        ("accumulator.precharge_least_psi", 801.0, "precharge_least_psi 801.0 is above"),
        ("accumulator.precharge_most_psi", 799.0, "is above precharge_most_psi 799.0"),
    ],
)
def test_a_precharge_out_of_its_limits_is_refused(path: str, value: float, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        put(path, value)


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("supplies.1.engine", 1, "two supplies are of engine 1"),
        ("supplies.1.spool_up_s", 2.0, "an engine_pump turns with its engine"),
        ("supplies.1.serves", ["rudder"], "Input should be"),
        ("aux_pump.cut_in_psi", 2775.0, "cut_in_psi 2775.0 is not below aux_pump.cut_out_psi"),
        ("aux_pump.cut_out_psi", 3400.0, "aux_pump.cut_out_psi 3400.0 is not below relief_psi"),
        ("nominal_psi", 3400.0, "nominal_psi 3400.0 is not below relief_psi 3400.0"),
        ("nominal_psi", 1800.0, "low_clear_psi 1800.0 is not below nominal_psi 1800.0"),
        ("low_clear_psi", 2475.0, "low_clear_psi 2475.0 is not below aux_pump.cut_in_psi"),
        ("usable_again_psi", 2475.0, "usable_again_psi 2475.0 is not below aux_pump.cut_in_psi"),
        ("usable_again_psi", 3000.0, "usable_again_psi 3000.0 is not below nominal_psi"),
        ("usable_psi", 1300.0, "usable_psi 1300.0 is not below usable_again_psi 1300.0"),
        ("usable_psi", 799.0, "accumulator.precharge_psi 800.0 is above usable_psi 799.0"),
        ("low_psi", 799.0, "accumulator.precharge_psi 800.0 is above low_psi 799.0"),
        ("low_psi", 1800.0, "low_psi 1800.0 is not below low_clear_psi 1800.0"),
        ("fluid_low_l", 2.4, "fluid_low_l 2.4 is not below fluid_clear_l 2.4"),
        (
            "reservoir_l",
            3.1,
            "fluid_clear_l 2.4 is not below what a full accumulator leaves.* 2.339",
        ),
    ],
)
def test_numbers_that_do_not_fit_together_are_refused(path: str, value: object, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        put(path, value)


def test_a_precharge_may_be_at_its_limits_and_limits_at_the_precharge() -> None:
    for psi in (750.0, 850.0):
        numbers: Any = a_twin().model_dump()
        numbers["accumulator"]["precharge_psi"] = psi
        numbers["usable_psi"] = numbers["low_psi"] = psi
        assert HydraulicsParameters.model_validate(numbers).accumulator.precharge_psi == psi


def test_a_system_needs_a_supply_and_either_kind_suffices() -> None:
    with pytest.raises(ValidationError, match="at least one of supplies or aux_pump"):
        HydraulicsParameters()
    by_aux = HydraulicsParameters(aux_pump=AuxPumpParameters())
    by_engine = HydraulicsParameters(supplies=[EngineSupplyParameters(engine=1)])
    # Without engines nobody holds the nominal pressure, so nothing need be below it.
    assert HydraulicsParameters(aux_pump=AuxPumpParameters(), nominal_psi=1000.0)
    assert by_aux.supplies == []
    assert by_engine.aux_pump is None
    assert by_engine.supplies[0].serves == list(CONSUMERS)


@pytest.mark.parametrize(
    ("kind", "spool_up_s", "delay_s"),
    [("bleed_air", None, 3.0), ("bleed_air", 0.0, 0.0), ("engine_pump", None, 0.0)],
)
def test_delay_of_a_supply(kind: Any, spool_up_s: float | None, delay_s: float) -> None:
    supply = EngineSupplyParameters(engine=1, kind=kind, spool_up_s=spool_up_s)
    assert supply.delay_s == delay_s


RANGES: dict[type[BaseModel], dict[str, tuple[object, object, object]]] = {
    EngineSupplyParameters: {
        "engine": (1, 8, None),
        "flow_l_per_s": (0.0, 10.0, 0.4),
        "spool_up_s": (0.0, 60.0, None),
        "serves": (1, 6, list(CONSUMERS)),
    },
    AuxPumpParameters: {
        "flow_l_per_s": (0.0, 10.0, 0.1),
        "cut_in_psi": (0.0, 10000.0, 2300.0),
        "cut_out_psi": (0.0, 10000.0, 2800.0),
        "on_limit_s": (0.0, 36000.0, 600.0),
        "serves": (1, 6, list(CONSUMERS)),
    },
    AccumulatorParameters: {
        "gas_volume_l": (0.0, 100.0, 1.0),
        "precharge_psi": (0.0, 10000.0, 1000.0),
        "precharge_least_psi": (0.0, 10000.0, 900.0),
        "precharge_most_psi": (0.0, 10000.0, 1100.0),
        "serves": (None, 6, ["wheel_brakes", "parking_brake"]),
    },
    HydraulicsParameters: {
        "supplies": (None, 8, []),
        "nominal_psi": (0.0, 10000.0, 3000.0),
        "relief_psi": (0.0, 10000.0, 3500.0),
        "low_psi": (0.0, 10000.0, 1500.0),
        "low_clear_psi": (0.0, 10000.0, 1800.0),
        "usable_psi": (0.0, 10000.0, 1100.0),
        "usable_again_psi": (0.0, 10000.0, 1300.0),
        "internal_leak_l_per_s": (0.0, 1.0, 0.001),
        "leak_l_per_s": (0.0, 10.0, 0.02),
        "reservoir_l": (0.0, 1000.0, 8.0),
        "fluid_low_l": (0.0, 1000.0, 2.5),
        "fluid_clear_l": (0.0, 1000.0, 3.0),
        "gauge_step_psi": (1.0, 1000.0, 50.0),
    },
}
LEAST = ("minimum", "exclusiveMinimum", "minItems")
GREATEST = ("maximum", "maxItems")


@pytest.mark.parametrize("model", RANGES)
def test_ranges_and_defaults_stand_in_the_schema(model: type[BaseModel]) -> None:
    properties = schema_of_model(model, model.__name__)["properties"]
    for name, wanted in RANGES[model].items():
        entry = properties[name]
        limits = next((each for each in entry.get("anyOf", []) if "type" in each), entry)
        least = next((limits[key] for key in LEAST if key in limits), None)
        greatest = next((limits[key] for key in GREATEST if key in limits), None)
        assert (least, greatest, entry.get("default")) == wanted, name
        assert entry["description"]
