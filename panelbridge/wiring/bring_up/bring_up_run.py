"""A bring-up at work: the flow, the boards' links, the panel file, the progress and the report."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from msgspec import Struct

from panelbridge.clock import Clock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.words import counted
from panelbridge.errors import ConfigError, PanelbridgeError, UsageError
from panelbridge.link.ports.opener import Opener
from panelbridge.wiring.bring_up.board_links import BoardLinks
from panelbridge.wiring.bring_up.flow import BringUpFlow
from panelbridge.wiring.bring_up.parts import parts_of
from panelbridge.wiring.bring_up.pending import PendingChange
from panelbridge.wiring.bring_up.progress_file import KeptProgress, keep_progress, take_up
from panelbridge.wiring.bring_up.prompts import BringUpView
from panelbridge.wiring.bring_up.simulated_panel import MiswiredPanel
from panelbridge.wiring.bring_up.simulated_user import SimulatedUser
from panelbridge.wiring.file_edit import PanelEdit

TURN_S = 0.02
"""Period of ``turn``, s."""


class BringUpOptions(Struct, frozen=True):
    """How a bring-up is run.

    Attributes:
        only: names of parts; empty: all.
        progress: where its progress is kept; None: nowhere.
        from_start: leave an earlier progress aside.
        ports_in_file: the ports that are used stand in the panel file.
    """

    only: Collection[str] = ()
    progress: Path | None = None
    from_start: bool = False
    ports_in_file: bool = True


class BringUpRun:
    """Runs a bring-up in turns, in one thread.

    Args:
        loaded: the panel.
        urls: the port of each board.
        clock: the time.
        opener: opens ports.
        options: how it is run.
        simulated: the simulated panel; None with real boards.

    Attributes:
        flow: what is asked and found.
        simulated: the simulated panel; None with real boards.
        user: does what is asked on a simulated panel; None with real boards.
        exchanged_ports: ports of boards that were exchanged, where no file could be put right.

    Raises:
        UsageError: ``only`` names no part, or the progress cannot be taken up.
        SetupRefused: the panel's wiring does not fit into a board's set-up.
    """

    def __init__(
        self,
        loaded: LoadedPanel,
        urls: Mapping[str, str],
        *,
        clock: Clock,
        opener: Opener,
        options: BringUpOptions | None = None,
        simulated: MiswiredPanel | None = None,
    ) -> None:
        options = options or BringUpOptions()
        names = [part.name for part in parts_of(loaded)]
        for name in options.only:
            if name not in names:
                hint = f"It has {', '.join(names)}"
                raise UsageError(f"this panel has no part {name!r}", "--only", hint)
        self._clock = clock
        self._progress = options.progress
        kept = KeptProgress()
        if self._progress is not None and not options.from_start:
            kept = take_up(self._progress, loaded)
        for part in parts_of(loaded):
            if part.name in options.only:  # what is named is proven now, whatever was found before
                kept.records.pop(part.key, None)
        if not options.only:
            kept.open_the_rest(loaded)
        self.flow = BringUpFlow(
            loaded,
            ports_in_file=options.ports_in_file,
            only=options.only,
            records=kept.records,
            proven=kept.proven,
        )
        self.flow.remark = _taken_up(kept)
        self._links = BoardLinks(self.flow, urls, opener, clock)
        self.simulated = simulated
        self.user: SimulatedUser | None = None
        if simulated is not None:
            self.user = SimulatedUser(simulated.sim_panel, self.flow)
        self.exchanged_ports: dict[str, str] = {}
        self._kept: object = None
        self._shown: PendingChange | None = None

    @property
    def loaded(self) -> LoadedPanel:
        """The panel as it is now."""
        return self.flow.loaded

    @property
    def urls(self) -> Mapping[str, str]:
        """The port of each board."""
        return self._links.urls

    @property
    def seen(self) -> tuple[list[str], str] | None:
        """What a person would see and hear: lit lamps and the horn; None with a real panel."""
        if self.simulated is None:
            return None
        sim_panel = self.simulated.sim_panel
        tone = sim_panel.horn()
        horn = "" if tone is None or not tone.order else f"the {tone.order.name.lower()} horn"
        return [name for name, light in sim_panel.lit().items() if light], horn

    def view(self) -> BringUpView:
        """What the screen shows."""
        return self.flow.view(self._clock.now())

    def key(self, key: str) -> None:
        """The user answers."""
        self.flow.key(self._clock.now(), key)
        self._after()

    def choose_number(self, number: int) -> None:
        """The user picks a numbered thing."""
        self.flow.choose_number(self._clock.now(), number)
        self._after()

    def choose_part(self, key: str) -> None:
        """The user picks a part."""
        self.flow.choose_part(self._clock.now(), key)

    def turn(self, *, by_itself: bool = False) -> None:
        """Do what is due; ``by_itself``: the simulated user does what is asked."""
        now_s = self._clock.now()
        if self.simulated is not None:
            self.simulated.sim_panel.advance(now_s)
        self._links.turn(now_s)
        if by_itself and self.user is not None:
            self.user.turn(now_s)
        self._after()

    def hand_does_it(self) -> None:
        """The simulated user does what is asked, once."""
        if self.user is not None and self.flow.is_ready:
            self.user.do_once(self._clock.now())
            self._after()

    def close(self) -> None:
        """Release the boards, and keep the progress."""
        self._links.close()
        self._keep()
        if self.simulated is not None:
            self.simulated.close()

    def _after(self) -> None:
        flow = self.flow
        corrections = flow.corrections
        if corrections.wanted is not None:
            self._write(corrections.wanted)
        pending = corrections.pending
        if pending is not None and pending is not self._shown:
            corrections.diff = tuple(self._diff(pending))
        self._shown = pending
        self._keep()

    def _keep(self) -> None:
        """Keep the progress when it has changed."""
        if self._progress is None:
            return
        now = {key: (one.state, *one.findings) for key, one in self.flow.records.items()}
        now |= {"": tuple(map(str, self.flow.corrections.proven.items()))}
        if now != self._kept:
            self._kept = now
            keep_progress(
                self._progress, self.loaded, self.flow.records, self.flow.corrections.proven
            )

    def _edited(self, pending: PendingChange) -> PanelEdit:
        edit = PanelEdit(self.loaded.panel_path)
        for change in pending.changes:
            edit.set(change.path, change.value)
        return edit

    def _diff(self, pending: PendingChange) -> list[str]:
        """The lines of the file that would change."""
        if not pending.changes:
            return []
        try:
            lines = self._edited(pending).diff().splitlines()
        except PanelbridgeError:
            return []  # the same error is shown when it shall be written
        return [line for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]

    def _write(self, pending: PendingChange) -> None:
        now_s = self._clock.now()
        loaded = self.loaded
        try:
            if pending.changes:
                self._edited(pending).write()
                loaded = load_panel(loaded.panel_path, None)
        except PanelbridgeError as error:
            self.flow.refused(now_s, _reason(error))
            return
        if pending.exchanged_boards:
            self._links.exchange(*pending.exchanged_boards)
            if not pending.changes:
                self.exchanged_ports |= {name: self.urls[name] for name in pending.exchanged_boards}
        self.flow.written(now_s, loaded)
        self._shown = None


def _reason(error: PanelbridgeError) -> str:
    if isinstance(error, ConfigError):
        return next(str(one) for one in error.problems if not one.is_warning)
    return str(error)


def _taken_up(kept: KeptProgress) -> str:
    if not kept.records and not kept.changed:
        return ""
    text = f"Taken up where it ended: {counted(len(kept.records), 'part')} done."
    if kept.opened:
        text += f" Left open, and proven again: {', '.join(kept.opened)}."
    if kept.changed:
        names = ", ".join(kept.changed)
        text += f" The panel file has changed since at {names}: these are proven again."
    return text
