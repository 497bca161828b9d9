"""Where output goes: full disks, pipes and terminals that take nothing, sinks that were closed.

A running panel flies on; a command that only prints ends with its own exit code; none shows a
traceback.
"""

from __future__ import annotations

import os
import pty
import shutil
import subprocess
import termios
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from tests.worst_day.attack import Case, Ground, Lost, Survived
from tests.worst_day.cockpit import Cockpit, make_cockpit, mirrored
from tests.worst_day.processes import Board, Process, runs_headless

_DISK_BYTES = 64 * 1024
_SAYS_SO = ("cannot be written", "No space left", "is lost", "were lost")

Sink = Callable[[Ground, ExitStack], int]
"""Makes a file number to print to, which is closed with the stack."""


# Disks


@contextmanager
def small_disk(ground: Ground) -> Iterator[Path | None]:
    """A folder on a disk of its own; None where nothing can be mounted."""
    disk = ground.room / "disk"
    disk.mkdir(parents=True, exist_ok=True)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={_DISK_BYTES}", "none", str(disk)]
    if shutil.which("mount") is None or _fails(mount):
        yield None
        return
    try:
        yield disk
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=False)


def _fails(command: list[str]) -> bool:
    return subprocess.run(command, capture_output=True, check=False).returncode != 0


def _fill(disk: Path) -> None:
    """Leave no byte free."""
    with suppress(OSError), (disk / "filler").open("wb", buffering=0) as filler:
        while True:
            filler.write(bytes(4096))


@contextmanager
def full_disk(ground: Ground) -> Iterator[Path | None]:
    """A folder on a disk without a free byte; None where nothing can be mounted."""
    with small_disk(ground) as disk:
        if disk is not None:
            for name in ("out.txt", "out.xml", "out.svg", "out.vcd"):
                (disk / name).touch()  # a file without content is there already
            _fill(disk)
        yield disk


def _full_file(disk: Path | None, name: str) -> Path:
    return Path("/dev/full") if disk is None else disk / name


def run_prints_on_full_disk(ground: Ground) -> Iterator[Survived]:
    """The console lines of a running panel have no room."""
    with ExitStack() as stack:
        disk = stack.enter_context(full_disk(ground))
        output = os.open(_full_file(disk, "out.txt"), os.O_WRONLY)
        stack.callback(os.close, output)
        yield from _flies_on(ground, stack, output=output, says_so=True)


def run_frames_on_full_disk(ground: Ground) -> Iterator[Survived]:
    """The disk fills up during the run: no frames of a link that fails have room."""
    with ExitStack() as stack:
        disk = stack.enter_context(small_disk(ground))
        file = (ground.room if disk is None else disk) / "frames.txt"
        cockpit = make_cockpit(ground.room)
        link = ground.room / "board"
        board = stack.enter_context(Board(cockpit.panel, link))
        run = stack.enter_context(runs_headless(cockpit.panel, link, "--frames", str(file)))
        run.wait_for("board_connected")
        if disk is not None:
            _fill(disk)
        for life in range(ground.times):
            board.kill()
            run.wait_for("board_lost")
            board = stack.enter_context(Board(cockpit.panel, link, seed=life + 2))
            board.wait_for_outputs(mirrored("down", "released"))
            yield Survived()
        _ends_well(run)
        run.check_clean()


def _file_on_full_disk(*option: str, name: str) -> Case:
    def case(ground: Ground) -> Iterator[Survived]:
        with ExitStack() as stack:
            disk = stack.enter_context(full_disk(ground))
            file = _full_file(disk, name)
            cockpit = make_cockpit(ground.room)
            bench = stack.enter_context(Process("bench", cockpit.scenario, *option, file))
            code = bench.finish()
            bench.check_clean()
            text = "\n".join((*bench.lines, bench.complaints()))
            if code != 2 or not any(words in text for words in _SAYS_SO):
                raise Lost(f"exit code {code} and {text[-200:]!r}")
            left = [p.name for p in file.parent.iterdir() if "tmp" in p.name] if disk else []
            if left:
                raise Lost(f"left behind: {left}")
            yield Survived()

    return case


def _check_says_so(process: Process) -> None:
    """Why output is lost is said once; how much of it, perhaps, at the end. Raises: Lost."""
    said = [line for line in process.complaints().splitlines() if line.strip()]
    so = [line for line in said if any(words in line for words in _SAYS_SO)]
    if not so or len(said) > 2:
        raise Lost(f"does not say once that its output is lost: {said[-3:]}")


def _printed_on_full_disk(command: str) -> Case:
    def case(ground: Ground) -> Iterator[Survived]:
        with ExitStack() as stack:
            disk = stack.enter_context(full_disk(ground))
            output = os.open(_full_file(disk, "out.txt"), os.O_WRONLY)
            stack.callback(os.close, output)
            process = stack.enter_context(
                Process(*_arguments(command, make_cockpit(ground.room)), output=output)
            )
            process.finish()
            process.check_clean()
            _check_says_so(process)
            yield Survived()

    return case


# Sinks that take nothing, or are closed


def full_pipe(ground: Ground, stack: ExitStack) -> int:
    """A pipe that is full and that nobody reads."""
    reader, writer = os.pipe()
    stack.callback(os.close, reader)
    stack.callback(os.close, writer)
    os.set_blocking(writer, False)
    with suppress(BlockingIOError):
        while True:
            os.write(writer, bytes(4096))
    with suppress(BlockingIOError):
        while True:
            os.write(writer, b"\0")
    os.set_blocking(writer, True)  # the process has the same open file
    return writer


def stopped_terminal(ground: Ground, stack: ExitStack) -> int:
    """A terminal whose user has pressed Ctrl-S."""
    master, slave = pty.openpty()
    stack.callback(os.close, master)
    stack.callback(os.close, slave)
    termios.tcflow(slave, termios.TCOOFF)
    return slave


def closed_pipe(ground: Ground, stack: ExitStack) -> int:
    """A pipe whose reader has gone."""
    reader, writer = os.pipe()
    os.close(reader)
    stack.callback(os.close, writer)
    return writer


def gone_terminal(ground: Ground, stack: ExitStack) -> int:
    """A terminal whose window was closed."""
    master, slave = pty.openpty()
    os.close(master)
    stack.callback(os.close, slave)
    return slave


def none_at_all(ground: Ground, stack: ExitStack) -> int:
    """No standard output."""
    return Process.CLOSED


def _run_into(sink: Sink, *, errors_too: bool = False) -> Case:
    def case(ground: Ground) -> Iterator[Survived]:
        with ExitStack() as stack:
            output = sink(ground, stack)
            yield from _flies_on(ground, stack, output=output, errors_too=errors_too)

    return case


def _flies_on(
    ground: Ground,
    stack: ExitStack,
    *,
    output: int,
    errors_too: bool = False,
    says_so: bool = False,
) -> Iterator[Survived]:
    """The lamps follow a panel that prints to ``output``, and SIGTERM ends it. Raises: Lost."""
    cockpit = make_cockpit(ground.room)
    link = ground.room / "board"
    board = stack.enter_context(Board(cockpit.panel, link))
    errors = output if errors_too else None
    arguments = ("run", cockpit.panel, "--port", link, "--headless")
    run = stack.enter_context(Process(*arguments, output=output, errors=errors))
    for _ in range(ground.times):
        for silence, word in (("pressed", "press"), ("released", "release")):
            board.order(f"horn_silence {word}")
            board.wait_for_outputs(mirrored("down", silence))
    _ends_well(run)
    board.wait_for_outputs(dict.fromkeys(mirrored("down", "released"), "0"))
    run.check_clean()
    if says_so:
        _check_says_so(run)
    yield Survived(ground.times)


def _ends_well(run: Process) -> None:
    if (code := run.stop()) != 0:
        raise Lost(f"exit code {code}: {run.complaints()[-300:]}")


def _arguments(command: str, cockpit: Cockpit) -> tuple[str | Path, ...]:
    return {
        "check": ("check", cockpit.panel, cockpit.aircraft, cockpit.feed),
        "bench": ("bench", cockpit.scenario),
        "names": ("names", cockpit.panel),
        "schema": ("schema", "panel"),
        "charts": ("charts",),
        "ports": ("ports",),
    }[command]


def _command_into(command: str, *, sink: Sink | None, errors_too: bool = False) -> Case:
    """A command that prints into a sink that is closed; None: after its first line, ``head -1``."""

    def case(ground: Ground) -> Iterator[Survived]:
        arguments = _arguments(command, make_cockpit(ground.room))
        with ExitStack() as stack:
            if sink is not None:
                output = sink(ground, stack)
                errors = output if errors_too else None
                process = stack.enter_context(Process(*arguments, output=output, errors=errors))
            else:
                reader, writer = os.pipe()
                process = stack.enter_context(Process(*arguments, output=writer))
                os.close(writer)
                with os.fdopen(reader, "rb", buffering=0) as first:
                    first.readline()
            code = process.finish()
            process.check_clean()
            if code != 0 or process.complaints():
                raise Lost(f"exit code {code}: {process.complaints()[-200:]}")
            yield Survived()

    return case


def _simboard_into(sink: Sink) -> Case:
    """A simulated board whose output nobody takes goes on, and ends on SIGTERM."""

    def case(ground: Ground) -> Iterator[Survived]:
        cockpit = make_cockpit(ground.room)
        link = ground.room / "board"
        with ExitStack() as stack:
            board = stack.enter_context(
                Process(
                    "simboard", "--panel", cockpit.panel, "--link", link, output=sink(ground, stack)
                )
            )
            run = stack.enter_context(runs_headless(cockpit.panel, link))
            run.wait_for("board_connected")
            board.order("lamp_test press")
            run.wait_for("lamp_test_started")
            if (code := board.stop()) != 0:
                raise Lost(f"exit code {code}: {board.complaints()[-200:]}")
            board.check_clean()
            run.wait_for("board_lost")
            _ends_well(run)
            yield Survived()

    return case


DISK: dict[str, Case] = {
    "run": run_prints_on_full_disk,
    "frames": run_frames_on_full_disk,
    "junit": _file_on_full_disk("--junit", name="out.xml"),
    "svg": _file_on_full_disk("--timeline", name="out.svg"),
    "vcd": _file_on_full_disk("--timeline", name="out.vcd"),
    **{f"{c} prints": _printed_on_full_disk(c) for c in ("check", "bench", "names", "schema")},
}
STALLED: dict[str, Case] = {
    "run, full pipe": _run_into(full_pipe),
    "run, full pipe, stderr too": _run_into(full_pipe, errors_too=True),
    "run, stopped terminal": _run_into(stopped_terminal),
    "run, stopped terminal, stderr too": _run_into(stopped_terminal, errors_too=True),
}
CLOSED: dict[str, Case] = {
    "run, closed pipe": _run_into(closed_pipe),
    "run, closed pipe, stderr too": _run_into(closed_pipe, errors_too=True),
    "run, closed window": _run_into(gone_terminal, errors_too=True),
    "run, no output at all": _run_into(none_at_all, errors_too=True),
    "simboard, closed pipe": _simboard_into(closed_pipe),
    **{
        f"{command}, head -1": _command_into(command, sink=None)
        for command in ("check", "bench", "names", "schema", "charts", "ports")
    },
    **{
        f"{command}, closed pipe, stderr too": _command_into(
            command, sink=closed_pipe, errors_too=True
        )
        for command in ("check", "bench", "names", "schema", "ports")
    },
    **{
        f"{command}, no output at all": _command_into(command, sink=none_at_all, errors_too=True)
        for command in ("check", "bench", "ports")
    },
}
