"""Breaks and mends parts of a running panel whose boards are all simulated.

Parts and words are those of scenarios, and so are the models: faults of the logic, of hands and
contacts, of the line. All of this is called in the engine's thread.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from panelbridge.bench.language.faults_file import BOUNCING_S
from panelbridge.bench.language.plan import FEED, FaultKind
from panelbridge.bench.live.breakable_parts import HORN, BreakablePart, CableFault, PartRoom
from panelbridge.bench.world.switches_on_bench import SWITCH_FAULTS
from panelbridge.engine.loop import Engine
from panelbridge.feeds.breakable_feed import BreakableFeed
from panelbridge.link.session.link_quality import SLOW_MS
from panelbridge.signals import Event, HornPattern, Level, Outputs
from panelbridge.simboard import registry
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import SimPanel

PART_BROKEN, PART_MENDED = "part_broken", "part_mended"
FLIPPED = 0.005
"""Chance that a bit of a byte is inverted on a cable that damages frames: every tenth or so."""
SLOW_S = 0.6 * SLOW_MS / 1000.0
"""By how much a slow cable is late each way, s: its round trips are those of a poor link."""


class LiveFaults:
    """What is broken in one run.

    Args:
        parts: what can be broken, by its words.
        engine: of the run.
        sim_panel: its boards.
        feed: its feed.
    """

    def __init__(
        self,
        parts: Mapping[str, BreakablePart],
        engine: Engine,
        sim_panel: SimPanel,
        feed: BreakableFeed,
    ) -> None:
        self._parts = parts
        self._engine = engine
        self._sim_panel = sim_panel
        self._feed = feed
        self._broken: dict[str, BreakablePart] = {}

    @property
    def broken(self) -> tuple[str, ...]:
        """What is broken now, in words, in the order in which it was."""
        return tuple(self._broken)

    def seen(self, outputs: Outputs) -> Outputs:
        """Outputs with dead lamps dark and a dead horn silent."""
        dead = [part for part in self._broken.values() if part.room is PartRoom.LAMP]
        if not dead:
            return outputs
        names = {part.target for part in dead}
        lamps = {name: 0 if name in names else level for name, level in outputs.lamps.items()}
        horn = HornPattern.SILENT if HORN in names else outputs.horn
        return replace(outputs, lamps=lamps, horn=horn)

    def break_or_mend(self, now_s: float, words: str) -> None:
        """Break a part, or mend it when it is broken; what is unknown is left alone."""
        part = self._parts.get(words)
        if part is None:
            return
        if words in self._broken:
            self._mend(now_s, part)
            return
        for other in [*self._broken.values()]:
            if other.slot == part.slot:
                self._mend(now_s, other)
        self._change(now_s, part, is_broken=True)
        if part.kind is not CableFault.RESET:
            self._broken[words] = part
        text = f"broken on purpose: {words}"
        self._engine.note(Event(now_s, PART_BROKEN, Level.CAUTION, text, part.target))

    def mend_all(self, now_s: float) -> None:
        """Mend everything."""
        for part in [*self._broken.values()]:
            self._mend(now_s, part)

    def _mend(self, now_s: float, part: BreakablePart) -> None:
        self._change(now_s, part, is_broken=False)
        del self._broken[part.words]
        text = f"mended: {part.words}"
        self._engine.note(Event(now_s, PART_MENDED, Level.INFO, text, part.target))

    def _change(self, now_s: float, part: BreakablePart, *, is_broken: bool) -> None:
        match part.room:
            case PartRoom.SYSTEM:
                kind = part.kind.value if is_broken else None
                self._engine.set_fault(now_s, part.target, kind)
            case PartRoom.BOARD:
                self._change_cable(now_s, part, is_broken=is_broken)
            case PartRoom.SWITCH:
                self._change_switch(now_s, part, is_broken=is_broken)
            case PartRoom.LAMP:
                change = set.add if is_broken else set.discard
                change(self._sim_panel.dead_lamps, part.target)
            case PartRoom.VALUE:
                self._change_value(part, is_broken=is_broken)

    def _change_cable(self, now_s: float, part: BreakablePart, *, is_broken: bool) -> None:
        cable = registry.cable_of(part.target)
        match part.kind:
            case FaultKind.UNPLUGGED if is_broken:
                cable.unplug(now_s)
            case FaultKind.UNPLUGGED:
                cable.replug(now_s)
            case CableFault.DAMAGED:
                cable.faults.order("flip_bit", FLIPPED if is_broken else 0.0)
            case CableFault.SLOW:
                cable.faults.order("delay_s", SLOW_S)
                cable.faults.order("delay", 1.0 if is_broken else 0.0)
            case _:
                cable.reset(now_s)

    def _change_switch(self, now_s: float, part: BreakablePart, *, is_broken: bool) -> None:
        if part.kind is FaultKind.BOUNCING:
            self._sim_panel.let_bounce(part.target, BOUNCING_S if is_broken else None)
            return
        assert isinstance(part.kind, FaultKind)
        fault = SWITCH_FAULTS[part.kind] if is_broken else SwitchFault.NONE
        self._sim_panel.break_switch(now_s, part.target, fault)

    def _change_value(self, part: BreakablePart, *, is_broken: bool) -> None:
        feed, is_held = self._feed, part.kind is FaultKind.STUCK
        if part.target == FEED:
            feed.hold_all(is_held=is_broken and is_held)
            feed.is_lost = is_broken and not is_held
        elif not is_broken:
            feed.mend(part.target)
        elif is_held:
            feed.hold(part.target)
        else:
            feed.lose(part.target)
