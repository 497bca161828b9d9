"""A bring-up that is interrupted: what was found goes into a small file, and is taken up again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct, field
from msgspec.structs import asdict

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_wires import Place, WireKey, wires_of
from panelbridge.errors import UsageError
from panelbridge.printing import FileKind, write_text
from panelbridge.wiring.bring_up.parts import PanelPart, PartRecord, parts_of
from panelbridge.wiring.bring_up.prompts import PartState

KIND = FileKind("a bring-up's progress", "panelbridge bring-up progress")
_FORMAT = 1


class KeptProgress(Struct):
    """What an earlier part of a bring-up left.

    Attributes:
        records: by part.
        proven: where wires proved to end.
        changed: parts whose lines of the panel file have changed since: they are open again.
        opened: parts that were left open at its end, and are open again.
    """

    records: dict[str, PartRecord] = field(default_factory=dict)
    proven: dict[WireKey, Place] = field(default_factory=dict)
    changed: list[str] = field(default_factory=list)
    opened: list[str] = field(default_factory=list)

    def open_the_rest(self, loaded: LoadedPanel) -> None:
        """Once every part was examined, those that were left open are open again."""
        parts = parts_of(loaded)
        if any(part.key not in self.records for part in parts):
            return
        for part in parts:
            if self.records[part.key].state in (PartState.FAULT, PartState.SKIPPED):
                del self.records[part.key]
                self.opened.append(part.name)


def progress_path(panel: Path) -> Path:
    """Where the progress of a panel is kept when no other file is named."""
    return panel.with_name(f"{panel.stem}.bring-up.json")


def keep_progress(
    path: Path,
    loaded: LoadedPanel,
    records: Mapping[str, PartRecord],
    proven: Mapping[WireKey, Place],
) -> None:
    """Write the progress. Raises: UsageError: the file cannot be written."""
    parts = {part.key: part for part in parts_of(loaded)}
    content = {
        "kind": KIND.mark,
        "format": _FORMAT,
        "panel": loaded.panel_path.name,
        "parts": {
            key: {"fingerprint": parts[key].fingerprint, **asdict(record)}
            for key, record in records.items()
            if key in parts and record.state is not PartState.OPEN
        },
        "wires": [[*key, *place] for key, place in proven.items()],
    }
    write_text(path, json.dumps(content, indent=1) + "\n", KIND)


def take_up(path: Path, loaded: LoadedPanel) -> KeptProgress:
    """The progress in a file; nothing when there is none.

    Raises:
        UsageError: it is no progress of this program, or is damaged.
    """
    kept = KeptProgress()
    try:
        content: Any = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return kept
    except (OSError, ValueError) as error:
        raise _unreadable(path) from error
    try:
        if content["kind"] != KIND.mark or content["format"] != _FORMAT:
            raise _unreadable(path)
        for part in parts_of(loaded):
            _take_part(kept, part, content["parts"].get(part.key))
        filed = wires_of(loaded.panel)
        for group, name, key, board, pin in content["wires"]:
            wire = WireKey(group, name, key)
            if wire in filed and name not in kept.changed:
                kept.proven[wire] = Place(board, pin)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _unreadable(path) from error
    return kept


def _take_part(kept: KeptProgress, part: PanelPart, entry: Any) -> None:
    if entry is None:
        return
    if entry["fingerprint"] != part.fingerprint:
        kept.changed.append(part.name)
        return
    kept.records[part.key] = PartRecord(
        PartState(entry["state"]),
        *([str(line) for line in entry[key]] for key in ("findings", "measured", "corrected")),
    )


def _unreadable(path: Path) -> UsageError:
    return UsageError(
        "this is no progress of a bring-up that can be taken up",
        str(path),
        "Name another file with --progress, or begin again with --from-start",
    )
