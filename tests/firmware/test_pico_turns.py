"""What a turn of the MicroPython firmware's loop takes: no memory, with any COMMAND or edges.

The real ``hardware.py`` runs in MicroPython on this machine, with a simulated ``machine`` and
clock. How long a turn takes on a chip has not been measured.
"""

from __future__ import annotations

import os
import random
import re
import subprocess
from pathlib import Path

import pytest

from panelbridge.link.wire import (
    Command,
    ItemFlag,
    ItemKind,
    SetupBegin,
    SetupCommit,
    SetupItem,
)
from panelbridge.link.wire.frames import FrameParser, encode_frame
from tests.firmware.pico_bench import FIRMWARE, MICROPYTHON, need_micropython
from tests.simboard.host import Plan, contact

REAL = Path(__file__).parent / "pico_real"
SMALL_INTEGER = 2**30
"""MicroPython on a 32-bit chip keeps larger numbers in memory."""


@pytest.fixture(autouse=True, scope="module")
def tools() -> None:
    """These tests need no compiler."""
    need_micropython()


def plan(*items: SetupItem) -> Plan:
    return Plan(
        tuple(
            SetupItem(index, each.kind, each.pin, each.flags, each.p1, each.p2, each.p3)
            for index, each in enumerate(items)
        )
    )


def on_chain(*pins: int) -> list[SetupItem]:
    return [contact(0, pin, 5, ItemFlag.ACTIVE_LOW) for pin in pins]


PLANS = {
    "panel": plan(
        *(contact(0, pin, 5) for pin in (0, 1, 2, 3, 4, 5, 6, 7, 10, 11, 12, 13)),
        *(SetupItem(0, ItemKind.LAMP, pin, ItemFlag.PWM) for pin in range(14, 20)),
        SetupItem(0, ItemKind.TONE, 8, 0, 700, 250, 250),
        SetupItem(0, ItemKind.ANALOGUE, 26, 0, 100),
    ),
    "inputs": plan(
        SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, 12),
        *on_chain(*range(128, 224)),
        *(contact(0, pin, 5) for pin in (*range(10), 13, 14, 15)),
        SetupItem(0, ItemKind.LAMP, 16),
        SetupItem(0, ItemKind.ANALOGUE, 26, 0, 100),
    ),
    "outputs": plan(
        SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, 1),
        SetupItem(0, ItemKind.CHAIN_OUT, 3, 0, 6, 13, 12),
        *on_chain(*range(128, 136)),
        *(SetupItem(0, ItemKind.LAMP, 136 + bit) for bit in range(96)),
        SetupItem(0, ItemKind.LAMP, 14, ItemFlag.PWM),
        SetupItem(0, ItemKind.LAMP, 15, ItemFlag.PWM),
        SetupItem(0, ItemKind.TONE, 8, 0, 700, 250, 250),
        SetupItem(0, ItemKind.SERVO, 0, 0, 0, 1000, 2000),
        SetupItem(0, ItemKind.SERVO, 2, 0, 0, 1000, 2000),
        SetupItem(0, ItemKind.ANALOGUE, 26, 0, 100),
    ),
}
"""A usual panel, and the most inputs and the most outputs that a set-up can have."""


def set_up(wanted: Plan) -> bytes:
    messages = [
        SetupBegin(7, len(wanted.items), wanted.checksum, 60_000, 100).pack(),
        *(item.pack() for item in wanted.items),
        SetupCommit(wanted.checksum).pack(),
    ]
    return b"".join(map(encode_frame, messages))


def commands(wanted: Plan, count: int, changing: bool) -> bytes:
    frames = []
    for number in range(1, count + 1):
        odd = number % 2 if changing else 1
        values: dict[int, int] = {
            ItemKind.LAMP: 200 * odd,
            ItemKind.TONE: odd,
            ItemKind.SERVO: 1200 + 300 * odd,
        }
        outputs = tuple(values[item.kind] for item in wanted.items if item.kind in values)
        command = Command(7, number, number // 4, outputs)
        frames.append(encode_frame(command.pack(wanted.shape)))
    return b"".join(frames)


def go(
    tmp_path: Path, received: bytes, turns: int, flip_each: int, *options: str
) -> tuple[list[int], int]:
    """Bytes of the heap that the turns took, REPORTs, last COMMAND, bad frames; and the stack."""
    assert MICROPYTHON is not None
    source = tmp_path / "received"
    source.write_bytes(received)
    with source.open("rb") as file:
        done = subprocess.run(
            [MICROPYTHON, *options, str(REAL / "run_turns.py"), str(turns), str(flip_each)],
            env={**os.environ, "MICROPYPATH": f"{REAL}:{FIRMWARE}"},
            stdin=file,
            capture_output=True,
            check=True,
            timeout=60,
        )
    assert done.stderr, done.stdout[-1000:]
    *figures, stack = map(int, done.stderr.decode().replace("None", "-1").split())
    return figures, stack


@pytest.mark.parametrize("name", PLANS)
def test_idle_turns_take_no_memory(tmp_path: Path, name: str) -> None:
    (taken, reports, _, bad), _ = go(tmp_path, set_up(PLANS[name]), 1000, 0)
    assert (taken, bad) == (0, 0)
    assert reports >= 2


@pytest.mark.parametrize("name", PLANS)
def test_turns_with_edges_take_no_memory(tmp_path: Path, name: str) -> None:
    """Nobody acknowledges them: the queue overflows."""
    (taken, reports, _, bad), _ = go(tmp_path, set_up(PLANS[name]), 1000, 100)
    assert (taken, bad) == (0, 0)
    assert reports >= 10


@pytest.mark.parametrize("changing", [False, True])
@pytest.mark.parametrize("name", PLANS)
def test_turns_with_commands_and_edges_take_no_memory(
    tmp_path: Path, name: str, changing: bool
) -> None:
    received = set_up(PLANS[name]) + commands(PLANS[name], 300, changing)
    (taken, reports, last, bad), _ = go(tmp_path, received, 1000, 100)
    assert (taken, last, bad) == (0, 300, 0)
    assert reports >= 10


@pytest.mark.parametrize("name", PLANS)
def test_heap_and_stack_suffice(tmp_path: Path, name: str) -> None:
    """The chip: 196 kB of heap or more, 4 kB of stack (MicroPython, ``ports/rp2/memmap_mp.ld``).

    Words there are half as large as here, so these limits leave about half of both free. As on the
    board, the files are compiled first.
    """
    received = set_up(PLANS[name]) + commands(PLANS[name], 300, changing=True)
    (_, _, last, _), stack = go(tmp_path, received, 1000, 100, "-X", "heapsize=196K")
    assert last == 300
    assert 2000 < stack < 5000


def test_nothing_is_written_to_the_flash() -> None:
    """It wears out; so boot_id is a random number."""
    for path in FIRMWARE.glob("*.py"):
        text = path.read_text("utf-8")
        assert not re.search(r"\bopen\(|\bos\.(?!urandom\b)|\bFlash\b|\bvfs\b", text), path.name


def test_the_compiled_loops_make_and_find_the_same_frames(tmp_path: Path) -> None:
    """As ``test_pico_frames``, but compiled: there CPython runs them."""
    assert MICROPYTHON is not None
    chance = random.Random(11)
    pieces = [b"", b"\0", encode_frame(b""), bytes(300), b"\1" * 122 + b"\0", b"\1" * 121 + b"\0"]
    for _ in range(1500):
        length = chance.choice((1, 3, 20, 118, 121, 122, 260))
        piece = chance.choice(
            (
                chance.randbytes(length),
                bytes(chance.choices((0, 1, 2, 255), k=length)),
                encode_frame(chance.randbytes(min(length, 118))),
            )
        )
        cut = chance.randrange(len(piece) + 1) if chance.random() < 0.3 else len(piece)
        pieces += [piece[:cut], piece[cut:]]
    done = subprocess.run(
        [MICROPYTHON, str(REAL / "run_frames.py")],
        env={**os.environ, "MICROPYPATH": str(FIRMWARE)},
        input="".join(piece.hex() + "\n" for piece in pieces),
        text=True,
        capture_output=True,
        check=True,
        timeout=60,
    )
    answers = done.stdout.splitlines()
    assert len(answers) == len(pieces)
    parser, found = FrameParser(), 0
    for piece, answer in zip(pieces, answers, strict=True):
        messages = parser.feed(piece)
        found += len(messages)
        sealed = encode_frame(piece).hex() if len(piece) <= 118 else ""
        assert answer == f"{parser.counts.bad},{':'.join(m.hex() for m in messages)},{sealed}"
    assert found > 200
    assert parser.counts.bad > 200


class _Counted(int):
    """A number that must fit where MicroPython on the chip allocates nothing."""

    def _checked(self, value: int) -> _Counted:
        assert -SMALL_INTEGER <= value < SMALL_INTEGER, value
        return _Counted(value)

    def __mul__(self, other: int) -> _Counted:
        return self._checked(int(self) * other)

    def __add__(self, other: int) -> _Counted:
        return self._checked(int(self) + other)

    def __floordiv__(self, other: int) -> _Counted:
        return self._checked(int(self) // other)


def test_dimming_calculates_with_small_integers() -> None:
    source = (FIRMWARE / "outputs.py").read_text("utf-8")
    function = re.search(r"def share_of.*?(?=\n\n\n)", source, re.S)
    assert function is not None
    space: dict[str, object] = {"FULL": 65535}
    exec(function[0], space)
    for brightness in range(256):
        share = space["share_of"](_Counted(brightness))  # type: ignore[operator]
        assert share == -(-(brightness**2) * 65535 // 255**2)
