"""The screen of a run: reads the engine's snapshots, moves a simulated board's switches.

It decides nothing: what is shown stands in the snapshot. Nothing of another thread is touched: one
interval of the screen's own loop reads ``source.snapshot()``, and ``controls`` queue what they are
asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Size

from panelbridge.dashboard.board_view import TALL, BoardPicture, cut, draw_board, first_lines_of
from panelbridge.dashboard.equipment import Equipment
from panelbridge.dashboard.hand import WHEEL_STEP, Hand
from panelbridge.dashboard.help import HelpScreen, help_lines
from panelbridge.dashboard.key_line import draw_key_line
from panelbridge.dashboard.keys import plan_keys
from panelbridge.dashboard.link_view import cut_links, draw_links
from panelbridge.dashboard.log_view import draw_log
from panelbridge.dashboard.page_view import draw_page
from panelbridge.dashboard.pages import SECTIONS, PageTurner, Section
from panelbridge.dashboard.pieces import Line, blank
from panelbridge.dashboard.plan import FIRST_LINES, RowPlan, plan_rows
from panelbridge.dashboard.ports import (
    REAL_PANEL_SWITCHES,
    Controls,
    FliesAgain,
    HornLook,
    LampLook,
    SnapshotSource,
    SwitchControl,
)
from panelbridge.dashboard.switch_block import SwitchDesk
from panelbridge.dashboard.widgets import BoardWidget, KeyLine, LinesWidget, LogWidget
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState

REFRESH_HZ = 10.0


class DashboardApp(App[None]):
    """The live screen.

    Args:
        source: where snapshots come from.
        controls: moves the switches of a simulated board; None when the board is real.
        title: of the run, for the first line.
        looks: of the panel's lamps, in the order to show; lamps of the outputs that are not among
            them are not fitted. Without any, every lamp of the outputs is shown by its name.
        horn: what is known of the horn.
        switches: switches of a real panel, in the order to show; ignored with ``controls``.
        full_scale_psi: top of the pressure bar, > 0.
        equipment: what aircraft and panel have; None: legs, steering and a pressure.
        refresh_hz: how often the snapshot is read.
    """

    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    CSS = "Screen { background: #171614; layout: vertical; overflow: hidden; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q", "quit", "quit"),
        Binding("ctrl+c", "quit", "quit", priority=True, show=False),
        Binding("question_mark", "help", "help"),
        Binding("l", "large_log", "log"),
        Binding("f", "fly_again", "fly again"),
        *(Binding(str(at + 1), f"page({at})", show=False) for at in range(len(SECTIONS))),
        Binding("right", "turn(1)", show=False),
        Binding("left", "turn(-1)", show=False),
        Binding("up", "read_log(1)", show=False),
        Binding("down", "read_log(-1)", show=False),
        Binding("pageup", "read_log(10)", show=False),
        Binding("pagedown", "read_log(-10)", show=False),
        Binding("home", "read_log(1000000)", show=False),
        Binding("end", "read_log(-1000000)", show=False),
    ]

    def __init__(
        self,
        source: SnapshotSource,
        controls: Controls | None,
        title: str,
        *,
        looks: Sequence[LampLook] = (),
        horn: HornLook | None = None,
        switches: Sequence[SwitchControl] = REAL_PANEL_SWITCHES,
        full_scale_psi: float = 4000.0,
        equipment: Equipment | None = None,
        refresh_hz: float = REFRESH_HZ,
    ) -> None:
        super().__init__()
        self.title = title
        self._source = source
        self._hand = Hand(controls) if controls else None
        runner: object = controls
        self._runner = runner if isinstance(runner, FliesAgain) else None
        self._switches = tuple(controls.switches()) if controls else tuple(switches)
        self._keys = plan_keys(self._switches if controls else ())
        self._looks = tuple(looks)
        self._horn = horn or HornLook()
        self._full_scale_psi = full_scale_psi
        self._equipment = equipment or Equipment()
        self._pages = PageTurner()
        self._refresh_s = 1.0 / refresh_hz
        self._snapshot = Snapshot()
        self._large_log = False
        self._log_back = 0
        self._link_rows = 0
        self._area = Size(0, 0)
        # What each part was drawn from last: it is drawn again only when that has changed.
        self._drawn: dict[str, object] = {}
        self.draws = 0
        """How many times a part was drawn, for tests of the cost."""

    def compose(self) -> ComposeResult:
        """Board, links, log, key line."""
        self._board = BoardWidget(id="board")
        self._links = LinesWidget(id="links")
        self._log_lines = LogWidget(id="log")
        self._key_line = KeyLine(id="keys")
        yield from (self._board, self._links, self._log_lines, self._key_line)

    def on_mount(self) -> None:
        """Start the one interval."""
        self._area = self.size
        self.poll()
        self.set_interval(self._refresh_s, self.poll, name="panelbridge-screen")

    def poll(self) -> None:
        """Read the snapshot and repaint what has changed."""
        if self._hand:
            self._hand.tick()
        before, self._snapshot = self._snapshot, self._source.snapshot()
        if self._log_back:
            # What the reader looks at stays where it is while new lines come.
            new = self._snapshot.event_count - before.event_count
            self._scroll_log(max(new, 0))
        self.redraw()

    # Drawing

    def redraw(self) -> None:
        """Draw every part whose inputs have changed."""
        if not self._area:
            return
        snapshot = self._snapshot
        width, height = self._area
        desk = self._desk()
        board_inputs = (
            int(snapshot.time_s),
            snapshot.panel_name,
            snapshot.aircraft_name,
            snapshot.switches,
            snapshot.aircraft,
            snapshot.outputs,
            snapshot.logic,
            tuple(board.state for board in snapshot.boards),
            (snapshot.feed_name, snapshot.feed_fresh, snapshot.phase, snapshot.finished),
            desk.positions,
            snapshot.commands,
            (width, height, self._large_log, self._pages.section, self._pages.part),
        )
        if self._is_new("board", board_inputs):
            self._board_lines = self._draw_board(desk, width, height)
        if self._is_new("links", (snapshot.boards, width, height >= TALL)):
            self._link_lines = draw_links(snapshot.boards, width)
            if height >= TALL:
                self._link_lines.append(blank(width))
        rows = self._rows(height)
        self._board.show(cut(self._board_lines, width, rows.board))
        self._links.show(self._filled_links(width, rows.links))
        log_inputs = (snapshot.event_count, snapshot.events[-1:], self._log_back, rows)
        if self._is_new("log", (*log_inputs, width, self._large_log)):
            self._log_lines.show(
                draw_log(snapshot.events, self._log_back, width, rows.log, large=self._large_log)
            )
        pages = (self._pages.section, self._pages.part, self._pages.parts)
        key_inputs = (width, rows.keys, self._large_log, snapshot.finished, pages)
        if self._is_new("keys", key_inputs):
            line = draw_key_line(
                width,
                large_log=self._large_log,
                finished=snapshot.finished,
                can_fly_again=self._can_fly_again,
                simulated=desk.simulated,
                pages=self._pages,
            )
            self._key_line.show([line] * rows.keys)

    def _draw_board(self, desk: SwitchDesk, width: int, height: int) -> list[Line]:
        picture = BoardPicture(
            self._snapshot,
            self.title,
            desk,
            self._looks,
            self._horn,
            self._full_scale_psi,
            self._equipment,
        )
        if self._large_log:
            return first_lines_of(picture, width, FIRST_LINES - 1, FIRST_LINES - 1)
        if self._pages.section is Section.BOARD:
            self._pages.drawn(1)
            return draw_board(picture, width, height)
        parts = draw_page(picture, self._pages.section, width, height)
        self._pages.drawn(len(parts))
        return parts[self._pages.part]

    def _is_new(self, part: str, inputs: object) -> bool:
        if self._drawn.get(part) == inputs:
            return False
        self._drawn[part] = inputs
        self.draws += 1
        return True

    def _rows(self, height: int) -> RowPlan:
        if self._pages.section is not Section.BOARD:
            return plan_rows(height, len(self._board_lines), 0, large_log=self._large_log)
        wanted = len(self._link_lines)
        if any(board.state is not LinkState.LIVE for board in self._snapshot.boards):
            # While a board is away its message comes and goes; the screen does not jump with it.
            wanted = max(wanted, self._link_rows)
        self._link_rows = wanted
        return plan_rows(height, len(self._board_lines), wanted, large_log=self._large_log)

    def _filled_links(self, width: int, rows: int) -> list[Line]:
        lines = cut_links(self._link_lines, width, rows)
        return lines + [blank(width)] * (rows - len(lines))

    def _desk(self) -> SwitchDesk:
        if self._hand is None:
            return SwitchDesk(self._switches)
        positions = {control.name: self._hand.position(control.name) for control in self._switches}
        return SwitchDesk(self._switches, self._keys.shown, positions, simulated=True)

    # Keys and mouse

    @property
    def _can_fly_again(self) -> bool:
        return self._runner is not None

    @property
    def _board_is_on_top(self) -> bool:
        return not isinstance(self.screen, HelpScreen)

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size at once."""
        self._area = event.size
        self._link_rows = 0
        self.redraw()

    def on_key(self, event: events.Key) -> None:
        """A switch's key."""
        use = self._keys.uses.get(event.character or "")
        if use is not None and self._hand is not None and self._board_is_on_top:
            self._hand.key(use)
            self.redraw()

    def on_board_widget_taken(self, message: BoardWidget.Taken) -> None:
        """The mouse took hold of a switch."""
        if self._hand is not None:
            self._hand.mouse_down(message.target.switch, message.target.position)
            self.redraw()

    def on_board_widget_let_go(self) -> None:
        """The mouse let go."""
        if self._hand is not None:
            self._hand.mouse_up()
            self.redraw()

    def on_app_blur(self) -> None:
        """The window has lost the focus: nothing stays pushed by the mouse."""
        self.on_board_widget_let_go()

    def on_board_widget_wheeled(self, message: BoardWidget.Wheeled) -> None:
        """The wheel over a lever."""
        target = message.target
        if self._hand is not None and self._hand.control(target.switch).form == "lever":
            self._hand.turn(target.switch, message.step * WHEEL_STEP)
            self.redraw()

    def on_log_widget_wheeled(self, message: LogWidget.Wheeled) -> None:
        """The wheel over the log."""
        self.action_read_log(message.step)

    async def on_key_line_clicked(self, message: KeyLine.Clicked) -> None:
        """A click on the key line is the key."""
        actions = {"q": "quit", "?": "help", "l": "large_log", "f": "fly_again"}
        if message.key.isdigit():
            self.action_page(int(message.key) - 1)
        else:
            await self.run_action(actions[message.key])

    def action_help(self) -> None:
        """Show the help."""
        lines = help_lines(self._desk(), can_fly_again=self._can_fly_again)
        self.push_screen(HelpScreen(lines))

    def action_large_log(self) -> None:
        """Make the log large or small."""
        self._large_log = not self._large_log
        self._log_back = 0
        self.redraw()

    def action_page(self, at: int) -> None:
        """Open the section ``at``, or its next part; an enlarged log is made small."""
        if self._large_log:
            self._large_log = False
            self._pages.open_first(SECTIONS[at])
        else:
            self._pages.open(SECTIONS[at])
        self.redraw()

    def action_turn(self, step: int) -> None:
        """One page on or back."""
        self._large_log = False
        self._pages.turn(step)
        self.redraw()

    def action_read_log(self, step: int) -> None:
        """Read ``step`` events further back; below zero: towards the newest."""
        self._scroll_log(step)
        self.redraw()

    def _scroll_log(self, step: int) -> None:
        last = max(len(self._snapshot.events) - 1, 0)
        self._log_back = min(max(self._log_back + step, 0), last)

    def action_fly_again(self) -> None:
        """Begin the run anew, once it has finished."""
        if self._snapshot.finished and self._runner is not None:
            self._runner.again()
