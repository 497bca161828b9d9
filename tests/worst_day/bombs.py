"""Bombs in files: ``check`` ends with exit code 2, in bounded memory and with bounded words."""

from __future__ import annotations

import cProfile
import io
import os
import random
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from panelbridge.config.commands import check as check_files
from tests.worst_day.attack import Case, Ground, Lost, Survived
from tests.worst_day.cockpit import make_cockpit
from tests.worst_day.processes import REPOSITORY, Process, wait_until

_MOST_WORDS = 64_000
"""Bytes that a person may have to read about one file."""
_MOST_MEMORY = 2 << 30
_HEAD = "kind: panel\nformat: 2\nname: bomb\n"

_LAMPS = (
    f"{_HEAD}aircraft: {REPOSITORY}/configs/aircraft/first_steps.yaml\n"
    "boards: { main: { board: uno } }\n"
    "switches: { gear_handle: { form: one_contact, pin: D2, closed_means: up } }\n"
    "lamps:\n"
)

Maker = Callable[[random.Random], str | bytes]


def _bomb(make: Maker, *, command: str = "check", codes: tuple[int, ...] = (2,)) -> Case:
    def case(ground: Ground) -> Iterator[Survived]:
        file = ground.room / "bomb.yaml"
        content = make(ground.rng())
        file.write_bytes(content.encode() if isinstance(content, str) else content)
        yield from _checked(file, command=command, codes=codes)

    return case


def _checked(
    file: Path, *, command: str = "check", codes: tuple[int, ...] = (2,)
) -> Iterator[Survived]:
    with Process(command, file, most_memory=_MOST_MEMORY) as check:
        code = check.finish()
        check.check_clean()
        said = sum(len(line) + 1 for line in check.lines) + len(check.complaints())
        if code not in codes:
            raise Lost(f"exit code {code}: {check.lines[-1:]} {check.complaints()[-200:]}")
        if said > _MOST_WORDS:
            raise Lost(f"{said} bytes of messages")
        if code and not said:
            raise Lost("no message")
    yield Survived()


def _fifo(ground: Ground) -> Iterator[Survived]:
    """A pipe with a name, into which nobody writes."""
    file = ground.room / "bomb.yaml"
    os.mkfifo(file)
    with Process("check", file) as check:
        wait_until(lambda: check.process.poll() is not None or _is_read(file), "no end")
        if check.process.poll() is None:
            raise Lost("check opens a FIFO, and would wait for ever")
        if check.finish() != 2:
            raise Lost(f"exit code {check.process.returncode}")
        check.check_clean()
    yield Survived()


def _is_read(fifo: Path) -> bool:
    """Whether somebody has opened the FIFO to read it."""
    try:
        os.close(os.open(fifo, os.O_WRONLY | os.O_NONBLOCK))
    except OSError:  # ENXIO: nobody
        return False
    return True


def _folder(ground: Ground) -> Iterator[Survived]:
    (ground.room / "bomb.yaml").mkdir()
    yield from _checked(ground.room / "bomb.yaml")


def _loop_of_links(ground: Ground) -> Iterator[Survived]:
    file = ground.room / "bomb.yaml"
    file.symlink_to(file)
    yield from _checked(file)


def _device(ground: Ground) -> Iterator[Survived]:
    """Zeros without an end."""
    file = ground.room / "bomb.yaml"
    file.symlink_to("/dev/zero")
    yield from _checked(file)


def _aircraft_is_the_panel(ground: Ground) -> Iterator[Survived]:
    """A file that names itself."""
    cockpit = make_cockpit(ground.room)
    text = cockpit.panel.read_text("utf-8")
    cockpit.panel.write_text(text.replace("aircraft.yaml", "panel.yaml"), "utf-8")
    yield from _checked(cockpit.panel)


def _aliases(rng: random.Random) -> str:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 30)]
    return _HEAD + "\n".join(lines) + "\nswitches: *a29\n"


def _merges(rng: random.Random) -> str:
    lines = ["a0: &a0 {k0: 1}"]
    lines += [
        f"a{n}: &a{n} {{<<: [{', '.join([f'*a{n - 1}'] * 9)}], k{n}: 1}}" for n in range(1, 30)
    ]
    return _HEAD + "\n".join(lines) + "\nswitches: *a29\n"


def _work_grows_with_the_file(head: str, line: str) -> Case:
    """Four times as many errors are four times the work, counted in calls: not sixteen times."""

    def case(ground: Ground) -> Iterator[Survived]:
        calls = []
        for errors in (250, 1_000):
            file = ground.room / f"{errors}.yaml"
            file.write_text(head + "".join(line.format(n) for n in range(errors)), "utf-8")
            profile = cProfile.Profile()
            with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
                profile.runcall(check_files, [file])
            calls.append(sum(entry.callcount for entry in profile.getstats()))
        if calls[1] > 6 * calls[0]:
            raise Lost(f"{calls[0]} calls for 250 errors, {calls[1]} for 1,000")
        yield Survived()

    return case


def _many_at_once(ground: Ground) -> Iterator[Survived]:
    """One ``check`` of many files, each of which has its error."""
    files = {}
    for at, (name, make) in enumerate(SMALL_BOMBS.items()):
        files[name] = file = ground.room / f"bomb_{at}.yaml"
        content = make(ground.rng())
        file.write_bytes(content.encode() if isinstance(content, str) else content)
    with Process("check", *files.values(), most_memory=_MOST_MEMORY) as check:
        code = check.finish()
        check.check_clean()
        said = check.complaints()
        if code != 2:
            raise Lost(f"exit code {code}: {said[-200:]}")
        if len(said) > _MOST_WORDS:
            raise Lost(f"{len(said)} characters of messages")
        for name, file in files.items():
            if f"{file}:" not in said:
                raise Lost(f"no error in: {name}")
    yield Survived(len(files))


SMALL_BOMBS: dict[str, Maker] = {
    "alias of itself": lambda rng: _HEAD + "switches: &a [*a]\n",
    "10 MB in one word": lambda rng: _HEAD + "aircraft: " + "x" * 10_000_000 + "\n",
    "10 MB of remarks": lambda rng: _HEAD + "# nothing\n" * 1_000_000,
    "10 MB at random": lambda rng: rng.randbytes(10_000_000),
    "a long key": lambda rng: _HEAD + "k" * 200_000 + ": 1\n",
    "a long word": lambda rng: _HEAD + "aircraft: " + "x" * 200_000 + "\n",
    "a remark a line": lambda rng: _HEAD + "#\n" * 100_000,
    "200 kB at random": lambda rng: rng.randbytes(200_000),
    "a long number": lambda rng: f"kind: panel\nformat: {'9' * 200_000}\nname: x\n",
    "a number beyond all": lambda rng: "kind: panel\nformat: 1e999999999\nname: .inf\n",
    "base 60": lambda rng: "kind: panel\nformat: " + ":".join(["59"] * 5_000) + "\n",
    "NUL bytes": lambda rng: _HEAD + "aircraft: a\0b.yaml\n",
    "written NUL": lambda rng: _HEAD + 'aircraft: "a\\0b.yaml"\n',
    "only NUL bytes": lambda rng: bytes(10_000),
    "nothing": lambda rng: b"",
    "UTF-16": lambda rng: (_HEAD + "lamps: \u00e4\n").encode("utf-16"),
    "UTF-16 without a mark": lambda rng: (_HEAD + "lamps: \u00e4\n").encode("utf-16-le"),
    "UTF-32": lambda rng: _HEAD.encode("utf-32"),
    "Latin-1": lambda rng: (_HEAD + "aircraft: \u00e4\u00f6.yaml\n").encode("latin-1"),
    "half a surrogate": lambda rng: _HEAD.encode() + b"aircraft: \xed\xa0\x80\n",
    "written surrogate": lambda rng: _HEAD + 'aircraft: "\\ud800"\n',
    "a Python object": lambda rng: "!!python/object/apply:os.system ['touch owned']\n" + _HEAD,
    "many documents": lambda rng: "---\nkind: panel\n" * 5_000,
}

BOMBS: dict[str, Case] = {
    "many of them": _many_at_once,
    "deep lists": _bomb(lambda rng: _HEAD + "switches: " + "[" * 20_000),
    "deep lists, closed": _bomb(lambda rng: _HEAD + "switches: " + "[" * 5_000 + "]" * 5_000),
    "deep tables": _bomb(
        lambda rng: _HEAD + "switches:\n" + "".join(f"{' ' * n}a:\n" for n in range(1, 2_000))
    ),
    "deep flow tables": _bomb(lambda rng: _HEAD + "switches: " + "{a: " * 10_000),
    "aliases": _bomb(_aliases),
    "merges": _bomb(_merges),
    "5,000 unknown keys": _bomb(lambda rng: _HEAD + "".join(f"k{n}: 1\n" for n in range(5_000))),
    "5,000 unknown lamps": _bomb(
        lambda rng: _LAMPS + "".join(f"  l{n}: D1\n" for n in range(5_000))
    ),
    "work for unknown keys": _work_grows_with_the_file(_HEAD, "k{}: 1\n"),
    "work for unknown lamps": _work_grows_with_the_file(_LAMPS, "  l{}: D1\n"),
    "5,000 times one key": _bomb(lambda rng: _HEAD + "lamps: 1\n" * 5_000),
    "5,000 tabs": _bomb(lambda rng: _HEAD + "\tlamps: 1\n" * 5_000),
    "FIFO": _fifo,
    "folder": _folder,
    "links in a ring": _loop_of_links,
    "device without an end": _device,
    "aircraft is the panel": _aircraft_is_the_panel,
    "scenario: aliases": _bomb(
        lambda rng: _aliases(rng).replace("kind: panel", "kind: scenario"), command="bench"
    ),
}
