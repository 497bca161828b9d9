"""Makes the files of a first panel and puts all of them into a folder, or none."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from msgspec import Struct

from panelbridge.config.boards import BoardKind
from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.config.words import listed
from panelbridge.errors import ConfigError, UsageError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.printing import cannot_write
from panelbridge.wiring.new_panel.panel_parts import core_names, extras_of
from panelbridge.wiring.new_panel.panel_text import SCENARIO_TEXT, panel_text
from panelbridge.wiring.pin_plan import plan_pins

PANEL, AIRCRAFT, FEED = "panel.yaml", "aircraft.yaml", "feed.yaml"
SCENARIO = "scenario.yaml"
_SCHEMAS = ("panel", "aircraft", "feed", "scenario")
_SCHEMA_FILES = tuple(f"schemas/{kind}.schema.json" for kind in _SCHEMAS)
FILES = (PANEL, AIRCRAFT, FEED, SCENARIO, *_SCHEMA_FILES)
_SHIPPED_LINE, _OWN_LINE = "$schema=../schemas/", "$schema=schemas/"


class NewPanel(Struct, frozen=True):
    """A first panel whose files are made and not yet in their place.

    Attributes:
        files: text of each file by its name in the folder.
        extras: what it has besides handle, greens and horn.
        missing: extras that the board has no room for.
    """

    files: dict[str, str]
    extras: tuple[str, ...]
    missing: tuple[str, ...]


def make_panel(aircraft: str, board: BoardKind, extras: Sequence[str] | None = None) -> NewPanel:
    """The files of a first panel.

    Args:
        aircraft: its kind, the name of a shipped aircraft file.
        board: kind of its board.
        extras: what it has besides handle, greens and horn; None for as much as the board takes.

    Raises:
        UsageError: the board has no room for these extras.
    """
    source = shipped_config(f"aircraft/{aircraft}.yaml")
    parameters = load_aircraft(source)
    files = {
        name: path.read_text("utf-8").replace(_SHIPPED_LINE, _OWN_LINE)
        for name, path in ((AIRCRAFT, source), (FEED, shipped_config("feeds/demo_flight.yaml")))
    }
    files[SCENARIO] = SCENARIO_TEXT
    for schema in _SCHEMA_FILES:
        files[schema] = shipped_config(schema).read_text("utf-8")
    if extras is not None:
        files[PANEL] = _planned(files, parameters, board, extras)
        return NewPanel(files, tuple(extras), ())
    names = [*extras_of(parameters)]
    count, text = _most(files, parameters, board, names)
    files[PANEL] = text
    return NewPanel(files, tuple(names[:count]), tuple(names[count:]))


def _most(
    files: dict[str, str],
    aircraft: AircraftParameters,
    board: BoardKind,
    extras: Sequence[str],
) -> tuple[int, str]:
    """How many of the extras fit, in their order, and the file with them: found by halving."""
    count, text = 0, ""
    low, high, middle = 0, len(extras) + 1, len(extras)
    while low < high:
        try:
            text = _planned(files, aircraft, board, extras[:middle])
            count, low = middle, middle + 1
        except UsageError:
            high = middle
        middle = (low + high) // 2
    return count, text


def _planned(
    files: dict[str, str],
    aircraft: AircraftParameters,
    board: BoardKind,
    extras: Sequence[str],
) -> str:
    """The panel file with its pins. Raises: UsageError, when it does not fit without a warning."""
    of_extra = extras_of(aircraft)
    fitted = [*core_names(aircraft), *(part for extra in extras for part in of_extra[extra])]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / PANEL
        for file in (AIRCRAFT, FEED):
            path.with_name(file).write_bytes(files[file].encode())
        path.write_bytes(panel_text(aircraft, board, fitted).encode())
        try:
            edit = plan_pins(path).edit
            if not edit.check():
                return edit.text
        except (UsageError, ConfigError) as error:
            refused = error.what
        else:
            refused = "its currents or lamps are beyond what it can do"
        what = f"a board of kind {board} cannot have all of {listed(extras, 'and')}: {refused}"
        raise UsageError(what, "", "Choose a larger board, or leave some of them out")


def refuse_existing(folder: Path, names: Iterable[str] = FILES) -> None:
    """Check that no file of these names is in ``folder``. Raises: UsageError."""
    there = [name for name in names if os.path.lexists(folder / name)]
    if there:
        what = f"{listed(there, 'and')} stand{'s' * (len(there) == 1)} in this folder already"
        hint = "Nothing was written: name another folder, or one that is not there"
        raise UsageError(what, str(folder), hint)


def put_files(folder: Path, files: Mapping[str, str]) -> None:
    """Write all files into ``folder``, which is made if it is missing; over none that is there.

    Raises:
        UsageError: one of them is there already, or cannot be written; nothing was written then.
    """
    refuse_existing(folder, files)
    made: list[Path] = []
    try:
        for name, text in files.items():
            path = folder / name
            for one in reversed((path.parent, *path.parent.parents)):
                if not one.exists():
                    one.mkdir()
                    made.append(one)
            with path.open("xb") as file:
                made.append(path)
                file.write(text.encode())
    except OSError as error:
        for one in reversed(made):
            with suppress(OSError):
                one.rmdir() if one.is_dir() else one.unlink()
        raise cannot_write(path, error) from error
