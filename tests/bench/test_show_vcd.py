"""The waveform file, read again by readers that are not ours, equals the run."""

from __future__ import annotations

import io
import signal
from math import isnan
from pathlib import Path

import pytest
import vcd.reader
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.bench.command import write_timeline
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.reports.timeline_vcd import vcd_text
from panelbridge.bench.verdict.trace import Sample, ScenarioResult, Trace
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import AircraftState, HandleContacts, SwitchState, Value
from tests.bench.made import CRUISE, GEAR_UP, Maker, approach
from tests.bench.vcd_reading import read_vcd
from tests.examples import examples

US = 1_000_000


def _last_of_each_tick(trace: Trace) -> dict[int, Sample]:
    return {round(sample.time_s * US): sample for sample in trace.samples}


def _number(text: str) -> float | None:
    return None if text == "x" else float(int(text, 2))


def _is_scalar(spec: Signal) -> bool:
    return spec.form == "yes_no" or len(spec.words) == 2


def _expected(spec: Signal, sample: Sample) -> Value:
    value = spec.read(sample)
    if value is None:
        return None
    if spec.form == "yes_no":
        return float(bool(value))
    if spec.form == "word":
        place = float(spec.words.index(str(value)))
        return 1.0 - place if len(spec.words) == 2 else place
    return float(f"{value:.16g}")  # the 16 digits that IEEE 1364 gives a real


def _check_against(result: ScenarioResult, text: str) -> None:
    """Every value but the strings, at every instant, read by vcdvcd."""
    read = read_vcd(text)
    assert read.timescale["magnitude"] == 1
    assert read.timescale["unit"] == "us"
    samples = _last_of_each_tick(result.trace)
    compared = 0
    for spec in signals_of(result.plan.aircraft, result.plan.panel).values():
        suffix = "" if spec.form == "number" or _is_scalar(spec) else "_code"
        signal = read[f"{spec.group}.{spec.name}{suffix}"]
        times = [time for time, _ in signal.tv]
        assert times == sorted(set(times)), f"{spec.name}: times do not rise"
        for before, after in zip(signal.tv, signal.tv[1:], strict=False):
            assert before[1] != after[1], f"{spec.name}: written without a change"
        for tick, sample in samples.items():
            raw = signal[tick]
            got = float(raw) if spec.form == "number" else _number(raw)
            expected = _expected(spec, sample)
            if spec.form == "number" and expected is None:
                assert got is not None
                assert isnan(got)
            else:
                assert got == expected, f"{spec.name} at {tick}"
            compared += 1
    assert compared >= 40 * len(samples)
    assert read.endtime == max(round(result.trace.end_s * US), *samples)


def _strings(text: str) -> dict[str, list[tuple[int, str]]]:
    """Changes of the string variables, as the tokenizer of the VCD library reads them."""
    names: dict[str, str] = {}
    scopes: list[str] = []
    changes: dict[str, list[tuple[int, str]]] = {}
    now = 0
    for token in vcd.reader.tokenize(io.BytesIO(text.encode("utf-8"))):
        kind = token.kind
        if kind is vcd.reader.TokenKind.SCOPE:
            scopes.append(token.scope.ident)
        elif kind is vcd.reader.TokenKind.UPSCOPE:
            scopes.pop()
        elif kind is vcd.reader.TokenKind.VAR:
            names[token.var.id_code] = ".".join([*scopes, token.var.reference])
        elif kind is vcd.reader.TokenKind.CHANGE_TIME:
            assert token.time_change > now or now == 0, "times do not rise"
            now = token.time_change
        elif kind is vcd.reader.TokenKind.CHANGE_STRING:
            words = token.string_change.value.replace("\\x20", " ")
            changes.setdefault(names[token.string_change.id_code], []).append((now, words))
    return changes


def test_an_approach_reads_back_as_it_was() -> None:
    for result in (approach(), approach(failing=True)):
        _check_against(result, vcd_text(result))


def test_values_known_beforehand_stand_in_the_file() -> None:
    """Written out by hand, so that a wave that reads the wrong value is found too."""
    maker = Maker()
    maker.dead.add("nose_red")
    maker.wait(1.0).switch(gear_handle=HandleContacts.DOWN).wait(0.5)
    maker.fly(airspeed_kias=None, throttle_fraction=(0.5, None), strut_compressed=(True, False))
    maker.wait(0.25).switch(dimmer=0.0, lamp_test=None)
    read = read_vcd(vcd_text(maker.result))

    def changes(name: str) -> list[tuple[int, str]]:
        return list(read[name].tv)

    assert changes("lamp.nose_red") == [(0, "0")]
    assert changes("lamp.left_red") == [(0, "0"), (1_600_000, "1")]
    assert changes("lamp.left_red_brightness")[:2] == [(0, "0"), (1_600_000, "255")]
    assert changes("aircraft.airspeed_kias") == [(0, "250"), (1_500_000, "nan")]
    assert changes("aircraft.throttle_1") == [(0, "0.7"), (1_500_000, "0.5")]
    assert changes("aircraft.throttle_2") == [(0, "0.7"), (1_500_000, "nan")]
    assert changes("aircraft.strut_nose") == [(0, "0"), (1_500_000, "1")]
    assert changes("aircraft.strut_left") == [(0, "0")]
    assert changes("aircraft.strut_right") == [(0, "0"), (1_500_000, "x")]
    assert changes("switch.lamp_test") == [(0, "0"), (1_750_000, "x")]
    assert changes("switch.dimmer") == [(0, "1"), (1_750_000, "0")]
    assert changes("switch.gear_handle_code") == [(0, "0"), (1_000_000, "1")]
    assert changes("leg.nose_leg_code") == [(0, "0"), (1_000_000, "1"), (1_400_000, "10")]
    assert changes("gear.gear_command_code") == [(0, "0"), (1_000_000, "1")]
    assert changes("gear.hydraulic_gauge_psi") == [(0, "3000")]


def test_only_the_signals_that_patterns_choose_are_written() -> None:
    def names(*patterns: str) -> set[str]:
        found = set(read_vcd(vcd_text(approach(), patterns)).references_to_ids)
        return {name for name in found if not name.startswith("events.")}

    assert names("horn", "nose_?????") == {"horn.horn", "horn.horn_code", "lamp.nose_green"}
    assert names("no_such") == set()


def test_words_stand_as_strings_and_the_comment_says_what_the_codes_mean() -> None:
    text = vcd_text(approach(failing=True))
    strings = _strings(text)
    assert [word for _, word in strings["horn.horn"]] == [
        "silent", "intermittent", "silent", "continuous", "silent", "intermittent", "silent",
    ]  # fmt: skip
    assert strings["switch.gear_handle"] == [
        (0, "up"),
        (10_800_000, "between"),
        (11_050_000, "down"),
    ]
    assert (11_050_000, "4 gear_handle_moved_down; 5 gear_down_commanded") in strings[
        "events.event"
    ]
    assert (11_450_000, "6 leg_unlocked: nose") in strings["events.event"]
    assert (10_800_000, "3 gear down") in strings["events.step"]
    assert (14_050_000, "4 FAILED: expected nose_green lit within 3 s, was nose_green is dark") in (
        strings["events.expectation"]
    )
    head = text.partition("$enddefinitions")[0]
    assert "horn.horn_code: 0 silent, 1 intermittent, 2 continuous" in head
    assert "Approach [steep]" in head


def test_a_scenario_can_be_called_anything() -> None:
    result = Maker(name="$end $scope\nmodule \x00x", case="Höhe").mark("$dumpvars\n#99").result
    text = vcd_text(result)
    _check_against(result, text)
    assert text.count("$enddefinitions") == 1
    assert "_end _scope module  x [Hohe]" in text
    assert text.isascii()
    assert _strings(text)["events.step"] == [(0, "1 _dumpvars #99")]


def test_a_event_that_comes_twice_is_there_twice() -> None:
    maker = Maker()
    for _ in range(2):
        maker.wait(1.0).switch(lamp_test=True).wait(1.0).switch(lamp_test=False)
    assert _strings(vcd_text(maker.result))["events.event"][1:] == [
        (1_000_000, "1 lamp_test_started"),
        (2_000_000, "2 lamp_test_ended"),
        (3_000_000, "3 lamp_test_started"),
        (4_000_000, "4 lamp_test_ended"),
    ]


def test_the_same_run_gives_the_same_file(tmp_path: Path) -> None:
    path = tmp_path / "run.vcd"
    write_timeline(approach(), path)
    assert path.read_bytes() == vcd_text(approach()).encode("ascii")


def test_a_run_without_a_sample_is_still_a_file() -> None:
    result = replace(approach(), trace=Trace(end_s=1.0))
    assert read_vcd(vcd_text(result)).endtime == US


_TIMES = st.sampled_from([0.0, 1e-9, 4e-7, 1e-6, 0.0199999, 0.02, 0.25, 3.0])
_YES_NO = st.none() | st.booleans()
_SWITCHES = st.builds(
    SwitchState,
    gear_handle=st.sampled_from(HandleContacts),
    horn_silence=_YES_NO,
    lamp_test=_YES_NO,
    warning_test=_YES_NO,
    steering_button=_YES_NO,
    dimmer=st.none() | st.floats(0.0, 1.0),
)
_AIRCRAFT = st.builds(
    lambda speed, levers, flaps, struts, psi: replace(
        CRUISE,
        airspeed_kias=speed,
        throttle_fraction=tuple(levers),
        flap_deg=flaps,
        strut_compressed=tuple(struts),
        hydraulic_pressure_psi=psi,
    ),
    st.none() | st.floats(0.0, 1e3),
    st.lists(st.none() | st.floats(0.0, 1.0), min_size=2, max_size=2),
    st.none() | st.floats(0.0, 40.0),
    st.lists(_YES_NO, min_size=3, max_size=3),
    st.none() | st.floats(0.0, 4000.0),
)


@given(st.lists(st.tuples(_TIMES, _SWITCHES | st.none(), _AIRCRAFT | st.none()), max_size=12))
@settings(max_examples=examples(60), deadline=None)
def test_any_run_reads_back_as_it_was(
    script: list[tuple[float, SwitchState | None, AircraftState | None]],
) -> None:
    maker = Maker(CRUISE, GEAR_UP)
    for wait_s, switches, aircraft in script:
        maker.wait(wait_s)
        maker.switches = switches or maker.switches
        maker.aircraft = aircraft or maker.aircraft
        maker.fly()
    _check_against(maker.result, vcd_text(maker.result))


@pytest.mark.skipif(not hasattr(signal, "SIGPIPE"), reason="there are no such signals here")
def test_a_pipe_that_closes_does_not_end_this_process() -> None:
    """As Python itself begins; importing vcdvcd alone takes it away from every test."""
    assert signal.getsignal(signal.SIGPIPE) is signal.SIG_IGN


def test_the_comment_says_what_scalars_and_codes_mean() -> None:
    comment = vcd_text(approach()).partition("$end")[0].splitlines()

    def meaning(name: str) -> str:
        (line,) = [x for x in comment if name in x.strip().partition(":")[0].split(", ")]
        return line.partition(": ")[2]

    assert meaning("switch.gear_handle_code") == "0 up, 1 down, 2 between, 3 both"
    assert meaning("aircraft.simulator_handle") == "1 up, 0 down"
    assert meaning("lamp.nose_green") == "1 lit, 0 dark"
