"""A planned panel passes check, keeps what was given, and is refused only when nothing fits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.cli.app import run_app
from panelbridge.config.boards import BOARDS, Board, BoardKind, Pin
from panelbridge.config.load import check_file, load_aircraft, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.config.words import quoted
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError, UsageError
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of
from panelbridge.logic.kit.handles import HandleSwitch, Lever
from panelbridge.wiring.file_edit import PanelEdit
from panelbridge.wiring.pin_plan import plan_pins
from tests.examples import examples

AIRCRAFT = shipped_config("aircraft/twin_jet.yaml")
JET = load_aircraft(AIRCRAFT)
SWITCHES, LAMPS = switches_of(JET), lamps_of(JET)
NAMES = [
    *(f"switches.{name}" for name in SWITCHES),
    *(f"lamps.{name}" for name in LAMPS),
    *(f"gauges.{name}" for name in gauges_of(JET)),
    *(f"solenoids.{name}" for name in solenoids_of(JET)),
]
REQUIRED = [
    name
    for found in (SWITCHES, LAMPS, gauges_of(JET), solenoids_of(JET))
    for name, one in found.items()
    if getattr(one, "required", False)
]
ELECTRICS = "{ resistor_ohm: 2200, led_forward_v: { green: 2.2, white: 2.2, blue: 2.2 } }"
"""LEDs of 1 mA and low voltage: these tests are about pins, not about currents."""
HEAD = f"kind: panel\nformat: 2\nname: Planned\naircraft: {AIRCRAFT.as_posix()}\n"
HEAD += f"electrics: {ELECTRICS}\n"


def panel_text(parts: dict[str, str], boards: str = "") -> str:
    """A panel file with some parts, and what each has behind its colon."""
    text = HEAD + boards
    groups: dict[str, list[str]] = {}
    for part, value in parts.items():
        group, _, name = part.partition(".")
        groups.setdefault(group, []).append(f"  {name}:{value}\n")
    for group, lines in groups.items():
        text += f"{group}:\n{''.join(lines)}" if group != "horn" else f"horn:{parts['horn']}\n"
    left_out = [name for name in REQUIRED if not any(p.endswith(f".{name}") for p in parts)]
    return text + f"not_fitted: [{', '.join(left_out)}]\n"


def on(kind: str, chains: str = "") -> str:
    """The boards of a file with one board."""
    return f"boards:\n  main:\n    board: {kind}\n{chains}"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where panel files of a test stand."""
    return tmp_path_factory.mktemp("plan")


def planned(folder: Path, text: str) -> Path:
    """The file after its plan was written."""
    path = folder / "panel.yaml"
    path.write_text(text, "utf-8")
    plan_pins(path).edit.write()
    return path


PARTS = st.lists(st.sampled_from([*NAMES, "horn"]), min_size=1, max_size=40, unique=True)
KINDS = st.sampled_from([*BOARDS])
FORMS = st.sampled_from(["", " { debounce_ms: 5 }", "\n    normally_closed: true"])


def able(board: Board, part: str, value: str) -> list[list[str]]:
    """The pins that each pin of a part can be, from the board's table alone."""
    group, _, name = part.partition(".")
    switch = SWITCHES.get(name) if group == "switches" else None
    pins = [pin for pin in board.pins.values() if not pin.reserved]
    if isinstance(switch, HandleSwitch):
        return [[pin.name for pin in pins if pin.digital]] * 2
    if isinstance(switch, Lever) and not switch.by_contact:
        return [[pin.name for pin in pins if pin.analogue]]
    dims = "dimmed: true" in value
    return [[pin.name for pin in pins if pin.digital and (pin.pwm or not dims)]]


def has_matching(needs: list[list[str]]) -> bool:
    """Whether each need can have a pin of its own: augmenting paths, as in any textbook."""
    at: dict[str, int] = {}

    def place(need: int, seen: set[str]) -> bool:
        for pin in needs[need]:
            if pin not in seen:
                seen.add(pin)
                if pin not in at or place(at[pin], seen):
                    at[pin] = need
                    return True
        return False

    return all(place(need, set()) for need in range(len(needs)))


@st.composite
def panels(draw: st.DrawFn) -> tuple[BoardKind, dict[str, str], dict[str, str]]:
    """A kind of board, parts with what stands behind their colons, and the pins among these."""
    kind = draw(KINDS)
    board = BOARDS[kind]
    parts: dict[str, str] = {}
    fixed: dict[str, str] = {}
    for part in draw(PARTS):
        parts[part] = ""
        choices = able(board, part, "")
        if len(choices) == 1 and draw(st.integers(0, 5)) == 0:
            free = [pin for pin in choices[0] if pin not in fixed.values()]
            if free and not part.startswith("switches.") and not board.pairs_pulses:
                fixed[part] = draw(st.sampled_from(free))
                parts[part] = f" {fixed[part]}"
        elif part.startswith("lamps.") and draw(st.integers(0, 4)) == 0:
            parts[part] = draw(st.sampled_from([" { dimmed: true }", " { legend: X }"]))
    return kind, parts, fixed


@settings(max_examples=examples(40))
@given(panels())
def test_law_it_fits_exactly_when_a_matching_exists(
    folder: Path, case: tuple[BoardKind, dict[str, str], dict[str, str]]
) -> None:
    kind, parts, fixed = case
    board = BOARDS[kind]
    text = panel_text(parts, on(kind))
    needs = [
        [pin for pin in pins if pin not in fixed.values()]
        for part, value in parts.items()
        if part not in fixed
        for pins in able(board, part, value)
    ]
    count = len(needs) + len(fixed)
    try:
        path = planned(folder, text)
    except UsageError:
        assert not has_matching(needs) or count > board.items or board.pairs_pulses
        return
    assert has_matching(needs)
    panel = check_file(path)
    used = [*pins_of(path)]
    assert len(used) == len(set(used)) == count
    for part, pin in fixed.items():
        assert read_yaml(path).get(tuple(part.split("."))) == pin
    for warning in panel.warnings:
        assert any(quoted(part.partition(".")[2]) in warning.what for part in fixed), warning
    before = path.read_bytes()
    assert not plan_pins(path).edit.is_changed
    assert path.read_bytes() == before


def pins_of(path: Path) -> Iterator[str]:
    """Every pin in a panel file."""
    source = read_yaml(path)
    for way in source.positions:
        value = source.get(way)
        if way[:1] in ((), ("boards",), ("not_fitted",)) or not isinstance(value, str):
            continue
        if way[-1] in ("pin", "up_pin", "down_pin") or (
            len(way) == 1 + (way[0] != "horn") and way[0] not in ("name", "aircraft", "kind")
        ):
            yield value


WANTED: dict[str, list[tuple[str, str]]] = {
    "uno": [
        ("switches.gear_handle.up_pin", "D2"),
        ("switches.gear_handle.down_pin", "D4"),
        ("switches.lamp_test", "D7"),
        ("switches.dimmer", "A0"),
        ("lamps.left_green", "D3"),
        ("lamps.nose_green", "D5"),
        ("lamps.right_green", "D6"),
        ("lamps.left_red", "D9"),
        ("lamps.nose_red", "D10"),
        ("lamps.right_red", "D11"),
        ("horn", "D12"),
    ],
    "pico": [
        ("switches.dimmer.pin", "GP26"),
        ("switches.dimmer.counts_at_1", 65535),  # type: ignore[list-item]
        ("horn", "GP22"),
    ],
}


@pytest.mark.parametrize("kind", WANTED)
def test_what_belongs_together_has_neighbouring_pins(folder: Path, kind: str) -> None:
    reds = ("nose_red", "left_red", "right_red")
    greens = ("nose_green", "left_green", "right_green")
    parts = dict.fromkeys(f"lamps.{name}" for name in (*greens, *reds)) | dict.fromkeys(
        ("switches.gear_handle", "switches.lamp_test", "switches.dimmer", "horn")
    )
    path = planned(folder, panel_text(dict.fromkeys(parts, ""), on(kind)))
    source = read_yaml(path)
    for way, pin in WANTED[kind]:
        assert source.get(tuple(way.split("."))) == pin


def test_a_port_group_bears_its_current(folder: Path) -> None:
    """Data sheet ATmega48A-328P (8271H), 29.1: 100 mA into B0-B5 and D5-D7, here D5 to D13.

    At 220 ohm a red LED takes 14.4 mA at worst: six of them in this group, and never a seventh,
    though D7 would come before the analogue pins.
    """
    head = HEAD.replace("resistor_ohm: 2200", "resistor_ohm: 220")
    names = [name for name in LAMPS if name.endswith(("_red", "_amber"))][:10]
    parts = {f"lamps.{name}": " { active_low: true }" for name in names} | {"switches.dimmer": ""}
    path = planned(folder, head + panel_text(parts, on("uno")).removeprefix(HEAD))
    pins = [lamp.pin for lamp in load_panel(path).panel.lamps.values()]
    assert len({*pins} & {f"D{number}" for number in range(5, 14)}) == 6
    assert "A1" in pins
    assert PanelEdit(path).check() == ()


def test_where_no_way_keeps_a_group_within_its_limit_check_says_so(folder: Path) -> None:
    head = HEAD.replace("resistor_ohm: 2200", "resistor_ohm: 220")
    names = [name for name in LAMPS if name.endswith(("_red", "_amber"))][:14]
    parts = {f"lamps.{name}": " { active_low: true }" for name in names}
    path = folder / "panel.yaml"
    path.write_text(head + panel_text(parts, on("uno")).removeprefix(HEAD), "utf-8")
    with pytest.raises(ConfigError, match="currents into all pins of board 'main'"):
        plan_pins(path)


def test_a_pin_that_the_boot_loader_drives_is_for_a_lamp(folder: Path) -> None:
    """The last pin that is left may be D13; horn, solenoid, needle and contact come before it."""
    names = [name for name in SWITCHES if not isinstance(SWITCHES[name], Lever)][:10]
    parts = {f"switches.{name}": " D2" * 0 for name in names}
    parts |= {"horn": "", "solenoids.handle_lock": "", "gauges.emergency_air": ""}
    parts |= {"lamps.speed_amber": " { dimmed: false }"}
    source = read_yaml(planned(folder, panel_text(parts, on("uno"))))
    assert source.get(("lamps", "speed_amber", "pin")) == "D13"


def test_lamps_beyond_the_pins_that_dim_say_so(folder: Path) -> None:
    lamps = [name for name in LAMPS if not name.endswith("_blue")][:9]
    parts = dict.fromkeys([f"lamps.{name}" for name in lamps] + ["switches.dimmer"], "")
    path = planned(folder, panel_text(parts, on("nano")))
    panel = load_panel(path).panel
    able_to_dim = [lamp for lamp in panel.lamps.values() if BOARDS["nano"].pins[lamp.pin].pwm]
    assert len(able_to_dim) == 6
    assert all(lamp.dimmed == (lamp in able_to_dim) for lamp in panel.lamps.values())
    assert check_file(path).warnings == ()


def test_on_a_board_that_pairs_pulses_no_pair_has_two_frequencies(folder: Path) -> None:
    """RP2040 data sheet, chapter PWM: 8 slices with two outputs each."""
    parts = dict.fromkeys([f"lamps.{name}" for name in [*LAMPS][:17]], "")
    parts |= {
        "horn": "",
        "gauges.emergency_air": "",
        "gauges.left_brake": "",
        "switches.dimmer": "",
    }
    panel = load_panel(planned(folder, panel_text(parts, on("pico")))).panel
    pulses: list[tuple[Pin, int]] = [
        (BOARDS["pico"].pins[lamp.pin], 1000) for lamp in panel.lamps.values() if lamp.dimmed
    ]
    assert len(pulses) == 12  # 8 slices: one for the horn, one for both needles, six for lamps
    assert panel.horn is not None
    pulses.append((BOARDS["pico"].pins[panel.horn.pin], 700))
    gauges = [one for _, one in panel.gauges if one is not None]
    pulses += [(BOARDS["pico"].pins[one.pin], 50) for one in gauges]
    outputs = [pin.number % 16 for pin, _ in pulses]
    assert len(outputs) == len(set(outputs))
    of_slice: dict[int, set[int]] = {}
    for pin, hz in pulses:
        of_slice.setdefault(pin.number // 2 % 8, set()).add(hz)
    assert all(len(all_hz) == 1 for all_hz in of_slice.values())


def test_chains_are_used_and_get_their_pins(folder: Path) -> None:
    chains = "    chains:\n      knobs: { form: inputs, chips: 1 }\n"
    chains += "      lights:\n        form: outputs\n        chips: 1\n"
    parts = dict.fromkeys(
        ["switches.gear_handle", "switches.dimmer", "lamps.nose_green", "lamps.speed_amber"], ""
    )
    path = planned(folder, panel_text(parts, on("uno", chains)))
    source, panel = read_yaml(path), load_panel(path).panel
    assert panel.switches.gear_handle.up_pin == "knobs.0"
    assert [lamp.pin for lamp in panel.lamps.values()] == ["lights.0", "lights.1"]
    assert source.get(("boards", "main", "chains", "lights", "dimmed")) is False
    pins = [getattr(chain, key) for chain in panel.boards["main"].chains.values() for key in KEYS]
    assert len(set(pins)) == 6
    assert check_file(path).warnings == ()


KEYS = ("data_pin", "clock_pin", "latch_pin")


@pytest.mark.parametrize(
    ("count", "board"),
    [(5, "uno"), (17, "uno"), (18, "uno"), (19, "leonardo"), (21, "mega2560")],
)
def test_without_a_board_it_takes_the_smallest_that_has_room(
    folder: Path, count: int, board: str
) -> None:
    """18 pins of an Uno or Nano, 20 of a Leonardo, 68 of a Mega 2560: their pin tables."""
    parts = dict.fromkeys([f"lamps.{name}" for name in [*LAMPS][:count]], "")
    path = planned(folder, panel_text(parts))
    assert load_panel(path).panel.boards["panel"].board == board


def test_everything_of_the_jet_takes_a_mega_with_one_chain(folder: Path) -> None:
    path = planned(folder, panel_text(dict.fromkeys([*NAMES, "horn"], "")))
    board = load_panel(path).panel.boards["panel"]
    assert board.board == "mega2560"
    assert [chain.form for chain in board.chains.values()] == ["outputs"]
    assert check_file(path).warnings == ()


def test_what_does_not_fit_says_what_would_help(folder: Path) -> None:
    path = folder / "panel.yaml"
    lamps = [f"lamps.{name}" for name in [*LAMPS][:22]]
    path.write_text(panel_text(dict.fromkeys(lamps, ""), on("uno")), "utf-8")
    with pytest.raises(UsageError) as caught:
        plan_pins(path)
    assert caught.value.what == ("4 pins of 22 that are needed cannot be had on board 'main' (uno)")
    assert caught.value.where == f"{path}:7:3"
    assert caught.value.hint == (
        "Either write 'board: mega2560', which has room, or write 'lights: { form: outputs, "
        "chips: 1 }' under 'chains:' of the board, a chain of 1 chip 74HC595 at three pins, and "
        "run plan again"
    )
    for advice in ("board: mega2560", CHAIN):
        text = path.read_text("utf-8").replace("board: uno", advice)
        planned(folder, text)


CHAIN = "board: uno\n    chains:\n      lights: { form: outputs, chips: 1 }"


def test_with_several_boards_a_part_says_its_own(folder: Path) -> None:
    boards = on("uno") + "  other:\n    board: nano\n"
    parts = {"switches.horn_silence": " { board: other }", "lamps.nose_green": ""}
    path = folder / "panel.yaml"
    path.write_text(panel_text(parts, boards), "utf-8")
    with pytest.raises(UsageError, match=r"'lamps.nose_green' has no pin yet and does not say"):
        plan_pins(path)
    parts["lamps.nose_green"] = " { board: main }"
    panel = load_panel(planned(folder, panel_text(parts, boards))).panel
    assert (panel.switches.horn_silence.pin, panel.lamps["nose_green"].pin) == ("D2", "D3")


# The command.


def test_the_command_shows_asks_and_writes(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(folder)
    for old in folder.glob("*.old-*"):
        old.unlink()
    path = Path("panel.yaml")
    text = panel_text({"switches.horn_silence": " # mine", "lamps.nose_green": " D9"}, on("uno"))
    path.write_text(text, "utf-8")
    assert run_app(["plan", "panel.yaml", "--dry-run"]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("panel.yaml: 1 pin on board 'main' (uno)\n--- panel.yaml\n")
    assert "\n-  horn_silence: # mine\n+  horn_silence: D2 # mine\n" in shown
    assert shown.endswith("Nothing was written.\n")
    assert run_app(["plan", "panel.yaml"]) == 2
    assert "no terminal to ask on" in capsys.readouterr().err
    answers: list[Any] = ["n", "yes"]
    monkeypatch.setattr("panelbridge.wiring.pin_plan.command.ask", lambda _: answers.pop(0))
    assert run_app(["plan", "panel.yaml"]) == 0
    assert capsys.readouterr().out.endswith("Nothing was written.\n")
    assert path.read_text("utf-8") == text
    assert run_app(["plan", "panel.yaml"]) == 0
    assert re.search(
        r"the file as it was is panel\.yaml\.old-1\nNext: panelbridge check panel\.yaml\n$",
        capsys.readouterr().out,
    )
    assert Path("panel.yaml.old-1").read_text("utf-8") == text
    assert run_app(["check", "panel.yaml"]) == 0
    assert run_app(["plan", "panel.yaml", "--yes"]) == 0
    assert "everything has its pin already" in capsys.readouterr().out


def test_other_errors_come_before_a_plan(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = folder / "panel.yaml"
    path.write_text(panel_text({"lamps.nose_gren": "", "horn": " D99"}, on("uno")), "utf-8")
    assert run_app(["plan", str(path), "--yes"]) == 2
    shown = capsys.readouterr().err
    assert "has no lamp 'nose_gren'" in shown
    assert "has no pin 'D99'" in shown
    assert "plan" not in shown.replace(str(path), "")
