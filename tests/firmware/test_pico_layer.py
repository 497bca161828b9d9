"""The board's real hardware.py offers the names that the program was tested with."""

from __future__ import annotations

import ast
import os
import re
import subprocess
from pathlib import Path

import pytest

from panelbridge.config.boards import BOARDS, LAMP_PULSE_HZ, SERVO_PULSE_HZ
from panelbridge.link.wire import constants, frames, time_outs
from tests.firmware.pico_bench import FIRMWARE, MICROPYTHON, need_micropython

PROGRAM = sorted(path for path in FIRMWARE.glob("*.py") if path.name != "hardware.py")


@pytest.fixture(autouse=True, scope="module")
def tools() -> None:
    """These tests need no compiler."""
    need_micropython()


def run_real_layer(received: bytes, *words: str, script: str = "run_real_layer.py") -> list[str]:
    assert MICROPYTHON is not None
    done = subprocess.run(
        [MICROPYTHON, str(Path(__file__).parent / "pico_real" / script), *words],
        env={**os.environ, "MICROPYPATH": str(FIRMWARE)},
        input=received,
        capture_output=True,
        check=True,
        timeout=60,
    )
    return done.stdout.decode().splitlines()


def test_what_it_does_with_its_pins() -> None:
    noted = run_real_layer(bytes(range(70)))
    assert noted == [
        "sent",
        "interrupt -1",
        "level LED 1",
        "button False",
        "button True",
        "level LED 0",
        "interrupt 3",
        "watchdog 3000",
        "fed",
        "pin 5 in None None",
        "pin 5 in up None",
        "levels [0, 5, 14, 15, 28, 29] 1",
        "level 5 0",
        "line 1",
        "pin 6 out None 1",
        "level 6 0",
        "pwm 6 1000 100",
        "share 6 200",
        "share 6 0",
        "pwm ends 6",
        "pin 6 in None None",
        "pwm 8 700 32768",
        "share 8 0",
        "pwm 10 50 0",
        "ns 10 1500000",
        "ns 10 0",
        # The next session: a dimmed lamp or a horn on the generator that a servo had.
        "ns 10 1500000",
        "share 10 0",
        "pwm ends 10",
        "pin 10 in None None",
        "pwm 11 1000 300",
        "share 11 0",
        "pwm ends 11",
        "pin 11 in None None",
        "pwm 27 50 0",
        "ns 27 1500000",
        "share 27 0",
        "pwm ends 27",
        "pin 27 in None None",
        "pwm 10 3000 32768",
        "analogue 1026 1028",
        "pins 26 False True True",
        "boot True int",
        "ticks True",
        f"received {bytes(range(64))!r}",
        f"received {bytes(range(64, 70))!r}",
        "received b''",
    ]


def test_a_board_without_a_pin_called_led_works() -> None:
    received = bytes(range(70))
    with_led = run_real_layer(received)
    assert run_real_layer(received, "no_led") == [
        line for line in with_led if not line.startswith("level LED")
    ]


def test_an_old_micropython_is_told_what_it_lacks_before_the_other_files_are_loaded() -> None:
    said = run_real_layer(b"", script="run_old_version.py")
    message = (
        "panelbridge: this board runs micropython 1.23.9, and the program needs MicroPython 1.24 or"
        " newer. Copy a newer .uf2 file to the board, then the program's files again."
    )
    assert said == [message, message]


def test_the_least_version_is_in_the_builders_readme() -> None:
    main = (FIRMWARE / "main.py").read_text("utf-8")
    (least,) = re.findall(r"^LEAST = \((\d+), (\d+), 0\)", main, re.M)
    readme = (FIRMWARE.parent / "README.md").read_text("utf-8")
    assert "MicroPython {}.{} or newer".format(*least) in readme


def functions(path: str) -> dict[str, list[str]]:
    """The public functions of a file with the names of their parameters."""
    tree = ast.parse((FIRMWARE.parent.parent / path).read_text("utf-8"))
    return {
        node.name: [argument.arg for argument in node.args.args]
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    }


def names(path: str) -> set[str]:
    tree = ast.parse((FIRMWARE.parent.parent / path).read_text("utf-8"))
    found = set(functions(path))
    for node in tree.body:
        if isinstance(node, ast.Assign):
            found |= {target.id for target in node.targets if isinstance(target, ast.Name)}
    return {name for name in found if not name.startswith("_")}


REAL = "firmware_examples/pico_micropython/hardware.py"
TESTED = "tests/firmware/pico_host/hardware.py"


def test_both_layers_have_every_function_that_the_program_calls() -> None:
    called = {
        name
        for path in PROGRAM
        for name in re.findall(r"\bhardware\.(\w+)", path.read_text("utf-8"))
    }
    assert len(called) > 20
    assert called - {"py"} <= names(REAL) & names(TESTED)
    real, tested = functions(REAL), functions(TESTED)
    for name in called & set(real) & set(tested):
        assert real[name] == tested[name], name


def test_both_layers_and_the_computer_agree_on_shared_pulse_generators() -> None:
    board = BOARDS["pico"]
    sources = [
        re.search(r"def pulses_clash.*?(?=\n\n\n)", (FIRMWARE.parent.parent / p).read_text(), re.S)
        for p in (REAL, TESTED)
    ]
    for source in sources:
        assert source is not None
        space: dict[str, object] = {}
        exec(source[0], space)
        clash = space["pulses_clash"]
        for one in board.pins.values():
            for other in board.pins.values():
                for hz in (50, 1000):
                    clashes = clash(one.number, 1000, other.number, hz)  # type: ignore[operator]
                    assert clashes == board.pulses_clash(one, 1000, other, hz)


@pytest.mark.parametrize("path", [REAL, TESTED])
def test_numbers_of_the_layers(path: str) -> None:
    text = (FIRMWARE.parent.parent / path).read_text("utf-8")
    board = BOARDS["pico"]
    assert f"\nBOARD_CODE = {board.code}\n" in text
    assert f"\nMAX_ITEMS = {board.items}\n" in text
    assert f"\nCOUNTS = {board.counts}\n" in text
    assert f"\nLAMP_HZ = {LAMP_PULSE_HZ}\n" in text
    assert f"\nSERVO_HZ = {SERVO_PULSE_HZ}\n" in text
    analogue = tuple(pin.number for pin in board.pins.values() if pin.analogue)
    assert f"\nANALOGUE_PINS = {analogue}\n" in text
    assert sorted(pin.number for pin in board.pins.values()) == [*range(23), *analogue]
    assert "\nPINS = tuple(range(23)) + ANALOGUE_PINS" in text


def test_numbers_are_those_of_the_protocol() -> None:
    text = (FIRMWARE / "terms.py").read_text("utf-8")
    numbers = dict(re.findall(r"^(\w+) = const\((\w+)\)$", text, re.M))
    ours = {name: int(value, 0) for name, value in numbers.items()}
    assert len(ours) == len(re.findall(r"^\w+ = ", text, re.M))
    for owner in (
        constants.MessageType,
        constants.ItemKind,
        constants.ItemFlag,
        constants.SetupStatus,
        constants.ReportFlag,
    ):
        for name, member in owner.__members__.items():
            if name != "NONE":
                assert ours.pop(name) == member, name
    assert (ours.pop("FIRMWARE_MAJOR"), ours.pop("FIRMWARE_MINOR")) == (1, 0)
    for name, value in ours.items():
        (owner_of,) = [each for each in (frames, constants, time_outs) if hasattr(each, name)]
        assert getattr(owner_of, name) == value, name


def test_only_the_layer_uses_the_hardware() -> None:
    for path in PROGRAM:
        imported = set(re.findall(r"^(?:import|from) (\w+)", path.read_text("utf-8"), re.M))
        own = {each.stem for each in FIRMWARE.glob("*.py")}
        assert imported <= own | {"struct", "array", "gc", "micropython", "sys", "time"}, path.name
