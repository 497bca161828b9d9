"""Why the horn sounds, for screens: the rules that sound it now, tests and own rules among them."""

from __future__ import annotations

from panelbridge.logic.gear_warning.rules import THROTTLE
from tests.logic.build import Bench, changed, flying_gear_up, on_ground, twin

OWN = {"mine": {"label": "my own horn", "sounds_when": {"flap_deg": {"above": 15}}}}


def causes(bench: Bench) -> tuple[str, ...]:
    return bench.logic.view().horn_causes


def test_a_test_is_the_cause_while_it_is_held() -> None:
    bench = on_ground()
    assert causes(bench) == ()
    for name, words in (("lamp_test", "lamp test"), ("warning_test", "gear warning test")):
        bench.after(1.0, changed(bench.switches, **{name: True}))
        assert bench.horn != "silent"
        assert causes(bench) == (words,)
        bench.after(1.0, changed(bench.switches, **{name: False}))
        assert causes(bench) == ()


def test_a_silenced_warning_is_no_cause() -> None:
    bench = flying_gear_up()
    bench.throttles(0.0, 0.0)
    assert causes(bench) == (THROTTLE,) == bench.logic.view().warning_causes
    bench.press("horn_silence")
    assert bench.horn == "silent"
    assert causes(bench) == ()
    assert bench.logic.view().warning_causes == (THROTTLE,)


def test_a_rule_of_ones_own_and_no_cause_without_power() -> None:
    bench = on_ground(twin(own_horn=OWN))
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    assert causes(bench) == ("my own horn",)
    bench.after(1.0, aircraft=changed(bench.aircraft, bus_powered=False))
    assert bench.horn == "silent"
    assert causes(bench) == ()
