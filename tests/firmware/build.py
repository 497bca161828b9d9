"""Builds what the firmware's tests need: five AVR boards, the core on this machine, the runner.

No IDE: plain avr-gcc from the packages in ``PACKAGES``. Results are cached in ``build/firmware``
under a hash of their sources.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parents[2]
SKETCH = REPOSITORY / "firmware_examples" / "panelbridge_board"
MINIMAL = REPOSITORY / "firmware_examples" / "minimal_board"
HERE = Path(__file__).parent
STORE = REPOSITORY / "build" / "firmware"
ARDUINO = Path("/usr/share/arduino/hardware/arduino/avr")
PACKAGES = "gcc-avr avr-libc binutils-avr arduino-core-avr libsimavr-dev build-essential"

WARNINGS = ("-Wall", "-Wextra", "-Werror")
LANGUAGE = ("-std=gnu++11", "-fno-exceptions", "-fno-threadsafe-statics")
SMALL = ("-Os", "-flto", "-ffunction-sections", "-fdata-sections")
# For the Arduino core; Debian's needs DECIMAL_DIG with Debian's compiler.
CORE = ("-w", "-DDECIMAL_DIG=__DECIMAL_DIG__", "-DF_CPU=16000000L", "-DARDUINO=10819")
SANITIZED = ("-g", "-O1", "-fsanitize=address,undefined", "-fno-sanitize-recover=all")


@dataclass(frozen=True)
class AvrTarget:
    """A board and how the Arduino IDE builds for it.

    Attributes:
        mcu: the chip.
        define: macro that names the board.
        variant: folder of its pin definitions.
        flash: bytes available for the program (without the boot loader).
        ram: bytes of static and dynamic memory.
        usb: vendor, product and name, for boards whose chip has USB.
    """

    mcu: str
    define: str
    variant: str
    flash: int
    ram: int
    usb: tuple[str, str, str] | None = None

    @property
    def flags(self) -> tuple[str, ...]:
        flags = [f"-mmcu={self.mcu}", f"-DARDUINO_{self.define}", "-DARDUINO_ARCH_AVR"]
        if self.usb:
            vendor, product, name = self.usb
            flags += [f"-DUSB_VID={vendor}", f"-DUSB_PID={product}"]
            flags += [f'-DUSB_PRODUCT="{name}"', '-DUSB_MANUFACTURER="Unknown"']
        return tuple(flags)


TARGETS = {
    "uno": AvrTarget("atmega328p", "AVR_UNO", "standard", 32_256, 2048),
    "nano": AvrTarget("atmega328p", "AVR_NANO", "eightanaloginputs", 30_720, 2048),
    "mega2560": AvrTarget("atmega2560", "AVR_MEGA2560", "mega", 253_952, 8192),
    "leonardo": AvrTarget(
        "atmega32u4", "AVR_LEONARDO", "leonardo", 28_672, 2560, ("0x2341", "0x8036", "Board")
    ),
    "micro": AvrTarget(
        "atmega32u4", "AVR_MICRO", "micro", 28_672, 2560, ("0x2341", "0x8037", "Board")
    ),
}


def need_tools() -> None:
    """Skip a test if the compilers are missing; fail it in CI."""
    missing = [tool for tool in ("avr-g++", "g++") if shutil.which(tool) is None]
    missing += [str(path) for path in (ARDUINO, Path("/usr/include/simavr")) if not path.exists()]
    if not missing:
        return
    reason = f"{', '.join(missing)} missing: install {PACKAGES}"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


def _run(command: Sequence[str | Path], folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode:
        raise AssertionError(f"{' '.join(map(str, command))}\n{done.stdout}{done.stderr[:4000]}")
    return done.stdout


def _key(*parts: object) -> str:
    mark = hashlib.sha256(Path(__file__).read_bytes())
    for part in parts:
        if isinstance(part, Path):
            for path in sorted(part.rglob("*")) if part.is_dir() else [part]:
                if path.is_file():
                    mark.update(path.name.encode() + path.read_bytes())
        else:
            mark.update(repr(part).encode())
    return mark.hexdigest()[:16]


def _stored(name: str, key: str, make: Callable[[Path], Path]) -> Path:
    """What ``make`` makes in a folder, made once: other workers wait for it."""
    path = STORE / f"{name}-{key}"
    if not path.exists():
        STORE.mkdir(parents=True, exist_ok=True)
        with _alone(path.with_name(f"{path.name}.lock")):
            if not path.exists():
                with tempfile.TemporaryDirectory(dir=STORE) as folder:
                    path.hardlink_to(make(Path(folder)))
    return path


@contextlib.contextmanager
def _alone(lock: Path) -> Iterator[None]:
    """No other process is in here with this lock."""
    import fcntl  # not on Windows, where these tests are skipped

    with lock.open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


@cache
def avr_elf(board: str, source: Path = SKETCH) -> Path:
    """A sketch for a board, linked as the Arduino IDE does."""
    target = TARGETS[board]

    def core(folder: Path) -> Path:
        arduino = ARDUINO / "cores" / "arduino"
        flags = (*SMALL, *CORE, *target.flags, f"-I{arduino}")
        variant = f"-I{ARDUINO / 'variants' / target.variant}"
        files = [str(p) for p in arduino.iterdir() if p.suffix in {".c", ".S"}]
        _run(("avr-gcc", "-c", "-std=gnu11", *flags, variant, *files), folder)
        files = [str(p) for p in arduino.glob("*.cpp")]
        _run(("avr-g++", "-c", *LANGUAGE, *flags, variant, *files), folder)
        _run(("avr-gcc-ar", "rcs", "core.a", *map(str, sorted(folder.glob("*.o")))), folder)
        return folder / "core.a"

    def sketch(folder: Path) -> Path:
        # Not -isystem: this compiler treats headers found there as C.
        flags = (*LANGUAGE, *SMALL, *WARNINGS, *CORE[1:], *target.flags)
        folders = (
            f"-I{ARDUINO / 'cores' / 'arduino'}",
            f"-I{ARDUINO / 'variants'}/{target.variant}",
        )
        main = folder / "sketch.cpp"
        main.write_text(sketch_text(source), encoding="utf-8")
        files = [str(main), *sorted(map(str, (source / "src").glob("*.cpp")))]
        _run(("avr-g++", "-c", *flags, *folders, f"-I{source}", *files), folder)
        archive = _stored(f"core-{board}.a", _key("core", target), core)
        objects = sorted(map(str, folder.glob("*.o")))
        link = ("-Wl,--gc-sections", "-Os", "-flto", "-fuse-linker-plugin", f"-mmcu={target.mcu}")
        _run(("avr-gcc", *link, "-o", "out.elf", *objects, str(archive), "-lm"), folder)
        return folder / "out.elf"

    return _stored(f"{source.name}-{board}.elf", _key(source, target), sketch)


def sketch_text(source: Path) -> str:
    """A sketch as C++: the IDE adds a line to it."""
    text = (source / f"{source.name}.ino").read_text(encoding="utf-8")
    return "#include <Arduino.h>\n" + text


@dataclass(frozen=True)
class Size:
    """Size of a program in bytes: flash and static RAM."""

    flash: int
    static_ram: int


def size_of(elf: Path) -> Size:
    """Flash and static RAM that a program uses."""
    text, data, bss, *_ = _run(("avr-size", str(elf)), REPOSITORY).splitlines()[1].split()
    return Size(int(text) + int(data), int(data) + int(bss))


def symbol(elf: Path, name: str) -> int:
    """Address of a symbol in the chip's memory."""
    for line in _run(("avr-nm", str(elf)), REPOSITORY).splitlines():
        words = line.split()
        if words[-1] == name and len(words) == 3:
            return int(words[0], 16) & 0xFFFF
    raise AssertionError(f"{elf.name} has no symbol {name}")


def _native(name: str, board: str, main: str) -> Path:
    flags = (*WARNINGS, *SANITIZED, f"-DARDUINO_{TARGETS[board].define}")
    compiler = ("g++", "-std=c++11", "-Wconversion", *flags, f"-I{SKETCH / 'src'}")
    key = _key(SKETCH, HERE / "native", HERE / "chips.h", board)

    def core(folder: Path) -> Path:
        sources = sorted((SKETCH / "src").glob("*.cpp"))
        _run((*compiler, "-c", *sources, HERE / "native" / "native_layer.cpp"), folder)
        _run(("ar", "rcs", "core.a", *sorted(folder.glob("*.o"))), folder)
        return folder / "core.a"

    def make(folder: Path) -> Path:
        archive = _stored(f"native-core-{board}.a", key, core)
        _run((*compiler, "-o", "out", HERE / "native" / main, archive), folder)
        return folder / "out"

    return _stored(f"{name}-{board}", key, make)


@cache
def native_board(board: str) -> Path:
    """The core compiled for this machine with sanitizers; the test sets its clock."""
    return _native("native", board, "native_main.cpp")


@cache
def native_minimal() -> Path:
    """The minimal sketch on this machine: ``minimal_native`` stands in for the Arduino core."""
    shim = HERE / "minimal_native"

    def make(folder: Path) -> Path:
        (folder / "sketch.cpp").write_text(sketch_text(MINIMAL), encoding="utf-8")
        flags = ("-std=c++11", *WARNINGS, *SANITIZED, f"-DARDUINO_{TARGETS['uno'].define}")
        folders = (f"-I{shim}", f"-I{MINIMAL}", f"-I{SKETCH / 'src'}", f"-I{HERE / 'native'}")
        native = (HERE / "native" / name for name in ("native_layer.cpp", "native_main.cpp"))
        files = ("sketch.cpp", str(shim / "arduino.cpp"), *map(str, native))
        _run(("g++", *flags, *folders, "-o", "out", *files), folder)
        return folder / "out"

    key = _key(MINIMAL, shim, HERE / "native", HERE / "chips.h", SKETCH / "src" / "hal.h")
    return _stored("native-minimal", key, make)


@cache
def native_fuzzer(board: str) -> Path:
    """The core under random bytes and contacts, with sanitizers."""
    return _native("fuzz", board, "fuzz_main.cpp")


@cache
def runner() -> Path:
    """The program that runs an AVR binary instruction by instruction."""

    def make(folder: Path) -> Path:
        files = [str(p) for p in sorted((HERE / "runner").glob("*.c"))]
        flags = ("-O2", "-g", "-std=gnu11", *WARNINGS, "-isystem", "/usr/include/simavr")
        _run(("gcc", *flags, "-o", "out", *files, "-lsimavr"), folder)
        return folder / "out"

    return _stored("runner", _key(HERE / "runner", HERE / "chips.h"), make)
