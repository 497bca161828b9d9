"""Which sections of the systems page are not normal, and why; which of them come first."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.dashboard.blocks.header import no_data_yet
from panelbridge.dashboard.blocks.lamp_cells import LampLayout, label_of
from panelbridge.dashboard.blocks.limits import passed_limit
from panelbridge.dashboard.blocks.systems import AIRCRAFT, FAULTS, GAUGES, why_not_known
from panelbridge.dashboard.blocks.value_cells import is_unknown
from panelbridge.dashboard.blocks.verdict import gear_verdict
from panelbridge.dashboard.history import ShownMoment, moment_of
from panelbridge.dashboard.interfaces import Equipment
from panelbridge.dashboard.text.lines import words_of_name
from panelbridge.engine.snapshot import Snapshot

STAYS_FIRST_S = 10.0
"""A section stays first for this time after it is normal again, s.

A caution that comes and goes, or an anti-skid that cycles, must not shuffle the page, and a person
who reads it must be able to finish.
"""
_FLASH_S = 1.0
"""A lamp that flashes is lit at least once in this time, s."""


def abnormal_sections(
    snapshot: Snapshot, equipment: Equipment, lamps: LampLayout
) -> Mapping[str, str]:
    """The reason for each section that is not normal, by its title.

    A fault, a lit red or amber lamp, a number beyond its limit, or a value that should be known and
    is not. Lamps that a test lights are no reason.
    """
    if no_data_yet(snapshot):
        return {}
    found: dict[str, str] = {}
    moment = moment_of(snapshot)
    logic = snapshot.logic
    for title, looks in equipment.systems.items():
        names = [look.name for look in looks]
        names += [look.name for look in equipment.trends.get(title, ())]
        reasons = [
            "fault" if title in logic.faulty else "",
            _verdict(title, snapshot, equipment, lamps),
            _lit(title, snapshot, equipment, lamps),
            _beyond(names, moment, equipment),
            "unknown" if any(is_unknown(look, logic.values) for look in looks) else "",
        ]
        if reason := next(filter(None, reasons), ""):
            found[title] = reason
    if logic.faults:
        found[FAULTS] = ""
    if any(why_not_known(snapshot, board) for board in equipment.boards.values()):
        found[GAUGES] = "no link"
    if not snapshot.feed_fresh:
        found[AIRCRAFT] = "no fresh data"
    elif reason := _beyond(["airspeed_kias"], moment, equipment):
        found[AIRCRAFT] = reason
    return found


def _verdict(title: str, snapshot: Snapshot, equipment: Equipment, lamps: LampLayout) -> str:
    if title != equipment.gear_section:
        return ""
    verdict = gear_verdict(snapshot, lamps)
    return verdict.words[0].lower() if verdict.is_filled else ""


def _lit(title: str, snapshot: Snapshot, equipment: Equipment, lamps: LampLayout) -> str:
    switches = snapshot.switches
    if switches.get("lamp_test") is True or switches.get("warning_test") is True:
        return ""
    names = equipment.alert_lamps.get(title, ())
    lit = [name for name in names if snapshot.outputs.lamps.get(name)]
    looks = {name: lamps.looks.get(name) for name in lit}
    legends = [label_of(look) if look else words_of_name(name) for name, look in looks.items()]
    return ", ".join(legends)


def _beyond(names: list[str], moment: ShownMoment, equipment: Equipment) -> str:
    found = (passed_limit(name, moment, equipment) for name in names)
    return next((limit.word for limit in found if limit is not None), "")


class FirstSections:
    """Which sections come first; it remembers when each was abnormal last.

    The order is the equipment's, so that equal sections never change places among themselves, and
    every screen of a run shows the same.
    """

    def __init__(self) -> None:
        self._seen: dict[str, tuple[float, str]] = {}

    def take(self, time_s: float, abnormal: Mapping[str, str]) -> Mapping[str, str | None]:
        """The sections that come first, each with the reason, or None when it is normal again."""
        if any(time_s < seen_s for seen_s, _ in self._seen.values()):
            self._seen.clear()  # another run
        self._seen |= {title: (time_s, reason) for title, reason in abnormal.items()}
        self._seen = {
            title: (seen_s, reason)
            for title, (seen_s, reason) in self._seen.items()
            if time_s - seen_s <= STAYS_FIRST_S
        }
        return {
            title: reason if time_s - seen_s <= _FLASH_S else None
            for title, (seen_s, reason) in self._seen.items()
        }
