"""What panel files say of ports. A file with errors still says it, as far as it can be read."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.cross_check import port_name
from panelbridge.config.load import load_panel
from panelbridge.config.panel_short_forms import in_long_form
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_source import scan_yaml
from panelbridge.errors import PanelbridgeError
from panelbridge.link.session.setup_plan import SetupPlan

_ENDINGS = (".yaml", ".yml")
_MOST_FILES = 200
_MOST_BYTES = 1_000_000


class BoardOfFile(Struct, frozen=True):
    """A board of a panel file.

    Attributes:
        place: file and line.
        path: the panel file.
        name: its name in the file.
        kind: what the file calls its kind.
        port: its port; empty when the file gives none.
        baud: its speed, bit/s; None when the file gives none.
        code: the number of its kind in HELLO; None when the file does not say it.
    """

    place: str
    path: Path
    name: str
    kind: str
    port: str
    baud: int | None
    code: int | None

    @property
    def words(self) -> str:
        """The board and where it stands, for people."""
        return f"board '{self.name}' ({self.kind}) of {self.place}"

    def is_on(self, port: str) -> bool:
        """Whether a port is the one that the file gives; links lead to the same device."""
        if not self.port:
            return False
        if port_name(self.port) == port_name(port):
            return True
        return os.path.exists(port) and os.path.realpath(self.port) == os.path.realpath(port)

    def checksum(self) -> int | None:
        """Checksum of its set-up; None when the file has errors."""
        with contextlib.suppress(PanelbridgeError):
            return SetupPlan.of(load_panel(self.path).panel, self.name).checksum
        return None


def is_panel_name(text: str) -> bool:
    """Whether an argument is a file and no port."""
    return text.endswith(_ENDINGS) or (os.path.isdir(text) and not text.startswith("/dev"))


def boards_in(paths: Iterable[Path]) -> list[BoardOfFile]:
    """The boards of the panel files among ``paths``; a folder stands for its own files."""
    return [board for path in _files(paths) for board in _boards_of(path)]


def _files(paths: Iterable[Path]) -> Iterator[Path]:
    for path in paths:
        if not path.is_dir():
            yield path
            continue
        with contextlib.suppress(OSError):
            inside = sorted(each for each in path.iterdir() if each.suffix in _ENDINGS)
            # A named pipe would wait for ever, and no panel file is as large.
            plain = (each for each in inside[:_MOST_FILES] if each.is_file())
            yield from (each for each in plain if each.stat().st_size <= _MOST_BYTES)


def _boards_of(path: Path) -> Iterator[BoardOfFile]:
    source, _ = scan_yaml(path)
    if source is None or source.get(("kind",)) != "panel":
        return
    source = in_long_form(source)
    for name in source.keys(("boards",)):
        yield _board(source, path, name)


def _board(source: YamlSource, path: Path, name: str) -> BoardOfFile:
    kind, port, baud = (source.get(("boards", name, key)) for key in ("board", "port", "baud"))
    hardware = board_of_entry(source, name)
    line = source.position(("boards", name)).key_line
    return BoardOfFile(
        f"{path}:{line}",
        path,
        name,
        kind if isinstance(kind, str) else "of unknown kind",
        port if isinstance(port, str) else "",
        baud if isinstance(baud, int) else None,
        hardware.code if hardware is not None else None,
    )
