"""The report at the end of a bring-up: one HTML file, without script and without the net."""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from panelbridge import __version__
from panelbridge.clock import wall_clock_text
from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_wires import wires_of
from panelbridge.errors import UsageError
from panelbridge.printing import cannot_write
from panelbridge.wiring.bring_up.parts import PanelPart, PartRecord, parts_of
from panelbridge.wiring.bring_up.prompts import PartState

MARKS: Mapping[PartState, tuple[str, str]] = {
    PartState.OPEN: ("○", "not examined"),
    PartState.PROVEN: ("✓", "proven"),
    PartState.CORRECTED: ("Δ", "corrected"),
    PartState.FAULT: ("✗", "fault"),
    PartState.SKIPPED: ("–", "left out"),
}
"""Sign and word of each state: the same on paper and without colour."""
_TEMPLATE = "report.html"
_MARK = "panelbridge bring-up report"


def report_text(
    loaded: LoadedPanel,
    records: Mapping[str, PartRecord],
    ports: Mapping[str, str],
    *,
    simulated: bool,
    notes: Sequence[str] = (),
    date: str | None = None,
) -> str:
    """The report as HTML.

    Args:
        loaded: the panel as it is at the end.
        records: what was found, by part.
        ports: of the boards.
        simulated: the boards were simulated.
        notes: what was corrected of the panel as a whole.
        date: of the report; None = now.
    """
    import jinja2

    parts = [_row(part, records.get(part.key, PartRecord()), loaded) for part in parts_of(loaded)]
    by_state = {state: [part for part in parts if part["state"] is state] for state in PartState}
    left_open = [*by_state[PartState.FAULT], *by_state[PartState.SKIPPED]]
    left_open += by_state[PartState.OPEN]
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        keep_trailing_newline=True,
    )
    boards = loaded.panel.boards
    return environment.get_template(_TEMPLATE).render(
        mark=_MARK,
        version=__version__,
        panel=loaded.panel.name,
        file=loaded.panel_path.name,
        checksum=f"{zlib.crc32(loaded.panel_path.read_bytes()):08X}",
        date=date or wall_clock_text(),
        simulated=simulated,
        notes=notes,
        counts=[
            (len(by_state[PartState.PROVEN]), "proven"),
            (len(by_state[PartState.CORRECTED]), "corrected"),
            (len(by_state[PartState.FAULT]), "with a fault"),
            (len(by_state[PartState.SKIPPED]) + len(by_state[PartState.OPEN]), "not examined"),
        ],
        boards=[
            {"name": name, "kind": board.board, "port": ports.get(name, "")}
            for name, board in boards.items()
        ],
        left_open=left_open,
        corrected=[part for part in parts if part["corrected"]],
        parts=parts,
    )


def _row(part: PanelPart, record: PartRecord, loaded: LoadedPanel) -> dict[str, object]:
    mark, words = MARKS[record.state]
    pins = [
        place.pin
        for key, place in wires_of(loaded.panel).items()
        if (key.group, key.name) == (part.group, part.name)
    ]
    return {
        "label": part.label,
        "kind": "lamps" if part.kind == "dark" else part.kind,
        "state": record.state,
        "mark": mark,
        "words": words,
        "pins": " ".join(pins),
        "findings": [_sentence(line) for line in record.findings],
        "measured": record.measured,
        "corrected": record.corrected,
    }


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def default_paths(panel: Path, date: str) -> Iterator[Path]:
    """Names for a report beside the panel file, the plainest first; ``date``: 2026-11-30."""
    stem = f"{panel.stem}.bring-up-{date}"
    yield panel.with_name(f"{stem}.html")
    for number in range(2, 1000):
        yield panel.with_name(f"{stem}-{number}.html")


def write_report(text: str, paths: Iterator[Path] | list[Path]) -> Path:
    """Write a new file: the first of ``paths`` that is not there yet. Returns its path.

    Raises:
        UsageError: every one of them is there, or it cannot be written.
    """
    taken = None
    for path in paths:
        try:
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
        except FileExistsError:
            taken = path
            continue
        except OSError as error:
            raise cannot_write(path, error) from error
        return path
    what = "this file is there already, and a report overwrites nothing"
    raise UsageError(what, str(taken), "Name another file with --report")
