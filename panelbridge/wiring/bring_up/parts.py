"""What there is to prove of a panel, in the order in which it is proven."""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping

from msgspec import Struct, field

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.logic.inventory import lamps_of, switches_of
from panelbridge.wiring.bring_up.exams.exam import Exam
from panelbridge.wiring.bring_up.exams.lamp_exam import DarkExam, LampExam
from panelbridge.wiring.bring_up.exams.lever_exam import LeverExam
from panelbridge.wiring.bring_up.exams.output_exams import GaugeExam, HornExam, SolenoidExam
from panelbridge.wiring.bring_up.exams.switch_exam import SwitchExam
from panelbridge.wiring.bring_up.exams.switch_words import label_of
from panelbridge.wiring.bring_up.prompts import PartState

EXAMS: Mapping[str, type[Exam]] = {
    "switch": SwitchExam,
    "lever": LeverExam,
    "dark": DarkExam,
    "lamp": LampExam,
    "horn": HornExam,
    "gauge": GaugeExam,
    "solenoid": SolenoidExam,
}
"""How each kind of part is examined."""


class PanelPart(Struct, frozen=True):
    """One thing to prove.

    Attributes:
        kind: a key of ``EXAMS``.
        name: its name in the panel file.
        label: words for people.
        board: name of its board; empty: of all.
        group: key of the panel file under which it stands.
        fingerprint: changes with what the file says of it.
    """

    kind: str
    name: str
    label: str
    board: str
    group: str
    fingerprint: str

    @property
    def key(self) -> str:
        """Its name among all parts."""
        return f"{self.kind}:{self.name}"


class PartRecord(Struct):
    """What is known of a part.

    Attributes:
        state: how far it is.
        findings: what was not as the file said.
        measured: what was measured.
        corrected: lines that were written into the file.
    """

    state: PartState = PartState.OPEN
    findings: list[str] = field(default_factory=list)
    measured: list[str] = field(default_factory=list)
    corrected: list[str] = field(default_factory=list)


def parts_of(loaded: LoadedPanel) -> list[PanelPart]:
    """Every part of a panel: switches, levers, lamps, horn, gauges, solenoids."""
    return [*_inputs(loaded), *_outputs(loaded)]


def lamp_labels(loaded: LoadedPanel) -> dict[str, str]:
    """Words on each lamp, with its colour; no two are the same."""
    declared = lamps_of(loaded.aircraft)
    labels = {}
    for name, lamp in loaded.panel.lamps.items():
        words = lamp.legend or (declared[name].label if name in declared else name)
        labels[name] = f"{words} {lamp.colour}"
    double = {label for label in labels.values() if [*labels.values()].count(label) > 1}
    return {
        name: f"{label} ({name})" if label in double else label for name, label in labels.items()
    }


def _inputs(loaded: LoadedPanel) -> Iterator[PanelPart]:
    panel, declared = loaded.panel, switches_of(loaded.aircraft)
    levers = []
    for name, entry in panel.wired_switches.items():
        is_lever = isinstance(entry, LeverSwitch)
        part = PanelPart(
            "lever" if is_lever else "switch",
            name,
            label_of(name, declared),
            entry.board,
            "own_switches" if name in panel.own_switches else "switches",
            _fingerprint(panel, entry),
        )
        if is_lever:
            levers.append(part)
        else:
            yield part
    yield from levers


def _outputs(loaded: LoadedPanel) -> Iterator[PanelPart]:
    panel = loaded.panel
    if panel.lamps:
        polarities = [(name, lamp.active_low) for name, lamp in panel.lamps.items()]
        yield PanelPart("dark", "all_dark", "all lamps dark", "", "lamps", _sum_of(polarities))
    labels = lamp_labels(loaded)
    for name, lamp in panel.lamps.items():
        yield PanelPart("lamp", name, labels[name], lamp.board, "lamps", _fingerprint(panel, lamp))
    if panel.horn is not None:
        print_ = _fingerprint(panel, panel.horn)
        yield PanelPart("horn", "horn", "horn", panel.horn.board, "horn", print_)
    for group in ("gauges", "solenoids"):
        for name, entry in getattr(panel, group):
            if entry is not None:
                words = name.replace("_", " ")
                print_ = _fingerprint(panel, entry)
                yield PanelPart(group[:-1], name, words, entry.board, group, print_)


def _fingerprint(panel: PanelFile, entry: object) -> str:
    board = panel.boards[entry.board]  # type: ignore[attr-defined]
    return _sum_of([entry, board.board, board.chains])


def _sum_of(content: object) -> str:
    return f"{zlib.crc32(repr(content).encode()):08x}"
