"""From what was sent to a value: units, scale, thresholds, words, tables, smoothing, deadband."""

from __future__ import annotations

from math import exp
from typing import Any

import pytest

from panelbridge.config.links.values import LinkValue
from panelbridge.feeds.formats.format import Raw, Refused
from panelbridge.feeds.link.value_reader import ValueReader
from panelbridge.logic.aircraft_values import values_of
from tests.feeds.link.fakes import TWIN_JET

SPECS = values_of(TWIN_JET)


def reader(name: str, **keys: Any) -> ValueReader:
    return ValueReader(LinkValue.model_validate({"at": "x", **keys}), SPECS[name])


@pytest.mark.parametrize(
    ("name", "keys", "raw", "gives"),
    [
        ("airspeed_kias", {}, 140.0, 140.0),
        ("airspeed_kias", {"unit": "m/s"}, 100.0, 100.0 * 3600 / 1852),
        ("altitude_ft", {"unit": "m"}, 1000.0, 1000.0 / 0.3048),
        ("altitude_ft", {"scale": 100.0}, 45.0, 4500.0),
        ("altitude_ft", {"unit": "m", "scale": 0.1, "offset": -100.0}, 2000.0, 100.0 / 0.3048),
        ("throttle_1", {"unit": "percent"}, 75.0, 0.75),
        ("throttle_1", {"inverted": True}, 0.2, 0.8),
        ("throttle_1", {}, True, 1.0),
        ("steering_pedal_fraction", {"inverted": True}, 0.25, -0.25),
        ("flap_deg", {"table": ((0.0, 0.0), (1.0, 10.0), (2.0, 25.0))}, 1.0, 10.0),
        ("flap_deg", {"table": ((0.0, 0.0), (1.0, 10.0), (2.0, 25.0))}, 1.5, 17.5),
        ("flap_deg", {"table": ((0.0, 0.0), (1.0, 10.0), (2.0, 25.0))}, 2.01, 25.0),
        # Noise beyond the end of a range is its end.
        ("airspeed_kias", {}, -3.0, 0.0),
        ("throttle_1", {}, 1.0000001, 1.0),
    ],
)
def test_a_number(name: str, keys: dict[str, Any], raw: Raw, gives: float) -> None:
    assert reader(name, **keys).read(raw, 0.0) == pytest.approx(gives, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "keys", "raw", "gives"),
    [
        ("strut_nose", {"above": 0.5}, 0.51, "compressed"),
        ("strut_nose", {"above": 0.5}, 0.5, "extended"),
        ("strut_nose", {"above": 0.5, "inverted": True}, 0.51, "extended"),
        ("strut_nose", {"below": 0.1}, 0.05, "compressed"),
        ("strut_nose", {"below": 0.1, "scale": 10.0}, 0.05, "extended"),
        ("strut_nose", {}, 1.0, "compressed"),
        ("strut_nose", {}, False, "extended"),
        ("strut_nose", {"inverted": True}, False, "compressed"),
        ("strut_nose", {}, "Compressed", "compressed"),
        ("engine_1", {"words": {"running": (1, 2), "stopped": 0}}, 2.0, "running"),
        ("engine_1", {"words": {"running": "ON", "stopped": "OFF"}}, " on", "running"),
        ("engine_1", {"words": {"running": "1", "stopped": "0"}}, 0.0, "stopped"),
        ("simulator_handle", {"words": {"up": 0, "down": 1}}, 0.0, "up"),
        ("simulator_handle", {"above": 0.5}, 1.0, "up"),
        ("simulation", {}, True, "paused"),
    ],
)
def test_a_word(name: str, keys: dict[str, Any], raw: Raw, gives: str) -> None:
    assert reader(name, **keys).read(raw, 0.0) == gives


@pytest.mark.parametrize(
    ("name", "keys", "raw", "reason"),
    [
        ("airspeed_kias", {}, "fast", "not a number"),
        ("airspeed_kias", {}, 1011.0, "out of range"),
        ("airspeed_kias", {}, -11.0, "out of range"),
        ("airspeed_kias", {"scale": 1e12}, 1e300, "not a finite number"),
        ("airspeed_kias", {"scale": 2.0}, 10**400, "not a finite number"),
        ("flap_deg", {"table": ((0.0, 0.0), (2.0, 25.0))}, 2.1, "outside the table"),
        ("flap_deg", {"table": ((0.0, 0.0), (2.0, 25.0))}, -0.1, "outside the table"),
        ("engine_1", {"words": {"running": 1}}, 0.0, "not one of its words"),
        ("strut_nose", {}, 0.5, "not one of its words"),
        ("strut_nose", {"above": 0.5}, "yes", "not a number"),
    ],
)
def test_refused(name: str, keys: dict[str, Any], raw: Raw, reason: str) -> None:
    with pytest.raises(Refused) as caught:
        reader(name, **keys).read(raw, 0.0)
    assert caught.value.reason == reason


def test_a_threshold_has_hysteresis_with_a_deadband() -> None:
    one = reader("strut_nose", above=0.5, deadband=0.2)
    raws = [0.4, 0.6, 0.4, 0.31, 0.29, 0.4, 0.51]
    words = [one.read(raw, 0.0) for raw in raws]
    assert [word == "compressed" for word in words] == [False, True, True, True, False, False, True]


def test_a_number_keeps_within_its_deadband() -> None:
    one = reader("throttle_1", deadband=0.02)
    assert [one.read(raw, 0.0) for raw in (0.5, 0.51, 0.519, 0.53, 0.515)] == [
        *(0.5, 0.5, 0.5, 0.53, 0.53),
    ]


def test_smoothing_follows_with_its_time_constant_whatever_the_rate() -> None:
    slow, fast = (reader("airspeed_kias", smooth_s=2.0) for _ in range(2))
    slow.read(100.0, 0.0)
    fast.read(100.0, 0.0)
    for step in range(1, 20):
        fast.read(200.0, step / 10)
    for one in (slow, fast):
        assert one.read(200.0, 2.0) == pytest.approx(200.0 - 100.0 * exp(-1.0))
    one.forget()
    assert one.read(50.0, 2.1) == 50.0
