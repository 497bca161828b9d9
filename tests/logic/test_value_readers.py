"""Which systems read which values of an aircraft."""

from __future__ import annotations

import pytest

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.value_readers import readers_of

AIRCRAFT = sorted(path.stem for path in (shipped_folder() / "aircraft").glob("*.yaml"))


@pytest.mark.parametrize(
    ("aircraft", "value", "reads"),
    [
        ("twin_jet", "flap_deg", "gear warning"),
        ("twin_jet", "engine_1", "hydraulics"),
        ("twin_jet", "mass_kg", "brake heat"),
        ("twin_jet", "strut_left", "air ground"),
        ("twin_jet", "trim", "take-off"),
        ("piston_single", "airspeed_kias", "speed limits"),
    ],
)
def test_who_reads(aircraft: str, value: str, reads: str) -> None:
    loaded = load_aircraft(shipped_config(f"aircraft/{aircraft}.yaml"))
    assert reads in readers_of(loaded)[value]


def test_what_nobody_reads_and_what_counts_as_usual() -> None:
    loaded = load_aircraft(shipped_config("aircraft/first_steps.yaml"))
    readers = readers_of(loaded)
    assert readers["trim"] == ()
    assert readers["bus_power"] == readers["simulation"] == ()


@pytest.mark.parametrize("name", AIRCRAFT)
def test_every_aircraft(name: str) -> None:
    loaded = load_aircraft(shipped_config(f"aircraft/{name}.yaml"))
    assert set(readers_of(loaded)) == set(values_of(loaded))
