"""A number between limits, and what every optional system offers."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, nan
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import LogicError
from panelbridge.logic.bands import Bands, below
from panelbridge.logic.rule import Rule, Told, reasons_of
from panelbridge.logic.system import System
from panelbridge.signals import HornPattern, Reason

LIMITS = (100.0, 200.0, 260.0)


def band_of(value: float | None) -> object:
    """The band by definition: how many limits the value is above."""
    return None if value is None else sum(value > limit for limit in LIMITS)


@given(st.lists(st.one_of(st.none(), st.sampled_from(LIMITS), st.floats(0, 400))))
def test_a_change_is_told_exactly_when_the_band_changes(values: list[float | None]) -> None:
    bands, before = Bands(LIMITS), band_of(None)
    for value in values:
        now = band_of(value)
        assert bands.take(value) is (now != before)
        if now != before:
            assert bands.value == value
        before = now


@pytest.mark.parametrize("unknown", [None, nan])
def test_unknown_is_told_once(unknown: float | None) -> None:
    bands = Bands(LIMITS)
    assert not bands.take(unknown)
    assert bands.take(150.0)
    assert bands.take(unknown)
    assert bands.value is None
    assert not bands.take(unknown)
    assert bands.take(150.0)


def test_a_number_at_its_limit_belongs_to_the_band_below() -> None:
    bands = Bands(LIMITS)
    bands.take(150.0)
    assert not bands.take(200.0)
    assert bands.take(200.0000001)
    assert bands.take(200.0)


def test_below_has_the_limit_itself_in_the_upper_band() -> None:
    bands = Bands([below(140.0)])
    bands.take(139.0)
    assert bands.take(140.0)
    assert not bands.take(inf)


@dataclass(frozen=True, slots=True)
class Toy:
    low: bool
    hot: bool


class ToySystem(System):
    lamp_rules = MappingProxyType(
        {
            "toy_amber": (Rule("low", (("low", True),)), Rule("hot", (("hot", True),))),
            "toy_green": (Rule("fine", (("low", False), ("hot", False))),),
        }
    )
    horn_rules = (
        (Rule("low", (("low", True),)), HornPattern.INTERMITTENT),
        (Rule("hot", (("hot", True),)), HornPattern.CONTINUOUS),
    )
    fault_kinds = MappingProxyType({"toy": ("failed",)})

    def __init__(self, low: bool, hot: bool) -> None:
        self.conditions = Toy(low, hot)
        self.broken: list[tuple[str, str | None]] = []

    def told(self) -> Told:
        toy = self.conditions
        assert isinstance(toy, Toy)
        return {"low": (Reason("toy low", toy.low),), "hot": (Reason("toy hot", toy.hot),)}

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        self.broken.append((target, kind))


@pytest.mark.parametrize(
    ("low", "hot", "amber", "green", "horn"),
    [
        (False, False, False, True, HornPattern.SILENT),
        (True, False, True, False, HornPattern.INTERMITTENT),
        (False, True, True, False, HornPattern.CONTINUOUS),
        (True, True, True, False, HornPattern.CONTINUOUS),
    ],
)
def test_lamps_and_horn_follow_the_rules(
    low: bool, hot: bool, amber: bool, green: bool, horn: HornPattern
) -> None:
    toy = ToySystem(low, hot)
    assert toy.lit() == {"toy_amber": amber, "toy_green": green}
    assert toy.horn() is horn
    for lamp, lit in toy.lit().items():
        reasons = reasons_of(toy.decisions(lamp))
        assert any(one.holds for one in reasons if one.condition.startswith("rule:")) is lit
        assert Reason("toy low", low) in reasons
    assert bool(toy.decisions("horn"))
    assert not toy.decisions("other_red")


def test_only_what_it_has_can_be_broken() -> None:
    toy = ToySystem(low=False, hot=False)
    toy.set_fault(1.0, "toy", "failed")
    toy.set_fault(2.0, "toy", None)
    assert toy.broken == [("toy", "failed"), ("toy", None)]
    with pytest.raises(LogicError, match="'pump'"):
        toy.set_fault(3.0, "pump", None)
    with pytest.raises(LogicError, match="'leaking'"):
        toy.set_fault(3.0, "toy", "leaking")


def test_a_plain_system_has_nothing() -> None:
    system = System()
    assert system.lit() == {}
    assert system.horn() is HornPattern.SILENT
    assert not system.decisions("horn")
    assert system.values(0.0) == {}
    assert system.faults() == ()
