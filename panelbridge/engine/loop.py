"""The engine: one thread that does all I/O and logic, and publishes frozen snapshots.

The fixed order of a turn: requests of other threads; the simulated panel and its pilot; the boards'
bytes (the edges of an instant are a step of the logic of their own, so that a short press is never
lost between two ticks); the feed's messages; then at 50 Hz, or at once when messages have come, the
feed's state, and a step for the time that has passed. Changed outputs are sent at once.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Sequence
from queue import SimpleQueue

from msgspec.structs import replace

from panelbridge.clock import Clock
from panelbridge.config.load import LoadedPanel
from panelbridge.engine.feed_watch import FeedWatch
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.questions import Questions
from panelbridge.engine.show import Show
from panelbridge.engine.show_state import NO_SHOW
from panelbridge.engine.snapshot import KEPT_EVENTS, Snapshot
from panelbridge.engine.waiter import Waiter
from panelbridge.engine.wiring_hints import WiringHints
from panelbridge.feeds.feed import Feed, FeedReading, Pilot
from panelbridge.link.session import (
    BoardLive,
    BoardLost,
    BoardSession,
    EdgesArrived,
    StateArrived,
    SwitchesForgotten,
    SwitchReader,
    at_one_instant,
)
from panelbridge.logic.explaining import Explainer
from panelbridge.logic.inventory import switches_of
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import Commands, Event, Level, Outputs, StepResult, SwitchState
from panelbridge.simboard.sim_panel import SimPanel

TICK_S = 0.02
"""Period of reading the feed and stepping the logic, s."""
LONGEST_STEP_S = 60.0
"""After a longer time without a step (a suspended computer) only so much passes in the logic, s."""
PUBLISH_S = 0.05
"""Shortest time between two snapshots, s."""
NUMBERS_S = 0.09
"""The same while numbers alone change: on the ticks it makes ten snapshots a second."""
ASKED_S = 0.5
"""After a request of another thread changed outputs are published at once, for this time, s."""
FEED_REST_S = 0.005
"""Period of reading a feed whose messages come faster than this, s: they come together then."""
JUMP_PUBLISH_S = 1.0
"""``PUBLISH_S`` while the run flies to a phase as fast as the machine can."""
Request = Callable[[float], None]
"""Called in the engine's thread for another thread, with the time in s."""


class Engine:
    """Runs one panel.

    Args:
        loaded: the panel with its aircraft.
        clock: the run's time.
        waiter: how the thread waits.
        feed: where the aircraft's state comes from.
        sessions: one for each board, in the order of the panel file.
        sim_panel: the simulated panel, when the boards are simulated in this process.
        pilot: moves the simulated panel's switches in a demonstration.
        stop_when_finished: end the run when the feed has finished.
        on_event: called in the engine's thread with each event.
        frame_log: takes a board's last frames when its link fails.
        on_snapshot: called in the engine's thread with each snapshot; never blocks.
        on_switches: called in the engine's thread with the time and the switches when any has
            moved, short presses included.
        explained: lamps, and ``horn``, whose reasons are in every snapshot. A name that the logic
            does not know raises LogicError at the first snapshot.
        show: how its time passes, and what is broken on purpose; None = it is a plain run.
    """

    def __init__(
        self,
        loaded: LoadedPanel,
        *,
        clock: Clock,
        waiter: Waiter,
        feed: Feed,
        sessions: Sequence[BoardSession],
        sim_panel: SimPanel | None = None,
        pilot: Pilot | None = None,
        stop_when_finished: bool = False,
        on_event: Callable[[Event], None] | None = None,
        frame_log: FrameLog | None = None,
        on_snapshot: Callable[[Snapshot], None] | None = None,
        on_switches: Callable[[float, SwitchState], None] | None = None,
        explained: Sequence[str] = (),
        show: Show | None = None,
    ) -> None:
        self._clock = clock
        self._waiter = waiter
        self._feed = feed
        self._sessions = tuple(sessions)
        self._sim_panel = sim_panel
        self._pilot = pilot
        self._stop_when_finished = stop_when_finished
        self._on_event = on_event
        self._frame_log = frame_log
        self._on_snapshot = on_snapshot
        self._on_switches = on_switches
        self._explained = tuple(explained)
        self._show = show
        if show is not None and show.pace is not None:
            show.pace.note = self.note
        self._reader = SwitchReader(loaded.panel)
        self._logic = PanelLogic(
            loaded.aircraft, loaded.panel.numbers, longest_step_s=LONGEST_STEP_S
        )
        self._explainer = Explainer(self._logic)
        self._questions = Questions(self._explainer)
        self._requests: SimpleQueue[Request] = SimpleQueue()
        self._stop = threading.Event()
        self._stop_at_s = float("inf")
        self._switches: SwitchState = self._reader.state
        self._reading = FeedReading()
        self._outputs: Outputs | None = None
        self._commands = Commands()
        self._events: deque[Event] = deque(maxlen=KEPT_EVENTS)
        self._event_count = 0
        self._finished = False
        self._is_open = False
        self._feed_watch = FeedWatch(feed.name)
        self._hints = WiringHints(loaded.panel, switches_of(loaded.aircraft))
        self._feed_read_s = self._feed_rests_until_s = -float("inf")
        self._next_tick_s = clock.now()
        self._next_publish_s = self._next_tick_s
        self._published_s = -float("inf")
        self._asked_s = -float("inf")
        self._snapshot = Snapshot(
            panel_name=loaded.panel.name, aircraft_name=loaded.aircraft.name, feed_name=feed.name
        )

    def snapshot(self) -> Snapshot:
        """The last published snapshot; may be called from any thread."""
        return self._snapshot

    def post(self, request: Request) -> None:
        """Call ``request`` in the engine's thread; may be called from any thread."""
        self._requests.put(request)
        self._waiter.wake()

    def stop(self) -> None:
        """Ask the run to end; may be called from any thread and from a signal handler."""
        self._stop.set()
        self._waiter.wake()

    def stop_at(self, time_s: float) -> None:
        """End the run at ``time_s`` (called in the engine's thread, by a ``Request``)."""
        self._stop_at_s = time_s

    def note(self, event: Event) -> None:
        """Publish an event (called in the engine's thread)."""
        self._events.append(event)
        self._event_count += 1
        self._publish_soon()
        if self._on_event is not None:
            self._on_event(event)

    def go_on_from(self, before: Engine) -> None:
        """Go on with the log and the end of another run, which has ended."""
        self._events.extend(before._events)
        self._event_count = before._event_count
        self._stop_at_s = before._stop_at_s
        events, count = tuple(self._events), self._event_count
        self._snapshot = replace(self._snapshot, events=events, event_count=count)

    def set_fault(self, now_s: float, target: str, kind: str | None) -> None:
        """Break a part of a system, or mend it (called in the engine's thread).

        Raises: LogicError: no such part, or it cannot break so.
        """
        self._logic.set_fault(now_s, target, kind)

    def explain(self, now_s: float, subject: str) -> None:
        """Explain a subject in the next snapshots (called in the engine's thread)."""
        self._questions.ask(now_s, subject)

    def fly_again(self, now_s: float) -> None:
        """Restart the feed and its pilot (a ``Request``)."""
        self._feed.restart(now_s)
        if self._pilot is not None:
            self._pilot.restart()
        self._finished = False

    def open(self) -> None:
        """Open the feed. Raises: FeedError, when it can never work."""
        if not self._is_open:
            self._feed.open(self._clock.now())
            self._is_open = True

    def run(self) -> None:
        """Run until ``stop`` or, with ``stop_when_finished``, the feed's end; then close."""
        try:
            self.open()
            while not self._over():
                self.turn()
        finally:
            self.close()

    def turn(self) -> None:
        """One turn of the loop, including the wait at its end."""
        now_s = self._clock.now()
        while not self._requests.empty():  # only this thread takes from the queue
            self._requests.get_nowait()(now_s)
            self._asked_s = now_s
            self._publish_soon()
        pace = self._show.pace if self._show is not None else None
        if pace is not None and pace.holds(now_s):
            self._publish(now_s)  # a switch may have been moved, or something broken
            pace.stand()
            return
        if self._sim_panel is not None:
            if self._pilot is not None:
                self._pilot.poll(now_s)
            self._sim_panel.advance(now_s)
        for session in self._sessions:
            for event in session.poll(now_s):
                self._take(now_s, session, event)
        has_data = self._poll_feed(now_s)
        if has_data or now_s >= self._next_tick_s or now_s >= self._logic.next_due_s:
            self._tick(now_s)
        has_jumped = self._next_publish_s > now_s + NUMBERS_S and not self._hurries
        if now_s >= self._next_publish_s or has_jumped:
            self._publish(now_s)
        self._wait()

    def _poll_feed(self, now_s: float) -> bool:
        """Take the feed's messages; whether there were any.

        When they come fast, its sockets are left alone for a while after each reading: else each
        message would cost a turn.
        """
        if now_s < self._feed_rests_until_s:
            return False
        count = self._feed.poll(now_s)
        if not count:
            return False
        if count > 1 or now_s - self._feed_read_s < FEED_REST_S:
            self._feed_rests_until_s = now_s + FEED_REST_S
        self._feed_read_s = now_s
        return True

    def close(self) -> None:
        """End the feed, release the boards, close the ports, publish the last snapshot."""
        self._feed.close(self._clock.now())
        for session in self._sessions:
            session.release(self._clock)
        self._publish(self._clock.now())
        self._waiter.close()

    def _over(self) -> bool:
        return (
            self._stop.is_set()
            or (self._finished and self._stop_when_finished)
            or self._clock.now() >= self._stop_at_s
        )

    def _take(self, now_s: float, session: BoardSession, event: object) -> None:
        reader, name = self._reader, session.name
        if isinstance(event, EdgesArrived):
            for group in at_one_instant(event.edges):
                for edge in group:
                    switches = reader.apply_edge(name, edge.contact, edge.closed)
                self._use(now_s, switches)
            self._use(now_s, reader.set_state(name, event.contacts, event.analogues))
        elif isinstance(event, StateArrived | BoardLive):
            self._use(now_s, reader.set_state(name, event.contacts, event.analogues))
        elif isinstance(event, BoardLost | SwitchesForgotten):
            self._use(now_s, reader.board_lost(name))
        elif isinstance(event, Event):
            self.note(event)
            if self._frame_log is not None and event.level is Level.FAULT:
                self._frame_log.dump(event, session.recent_frames())

    def _use(self, now_s: float, switches: SwitchState) -> None:
        if switches is not self._switches:
            self._switches = switches
            self._publish_soon()
            if self._on_switches is not None:
                self._on_switches(now_s, switches)
            self._step(now_s)

    def _tick(self, now_s: float) -> None:
        if now_s >= self._next_tick_s:
            self._next_tick_s = max(self._next_tick_s + TICK_S, now_s)
        self._reading = reading = self._feed.read(now_s)
        turned = self._feed_watch.fresh(now_s, reading, self._feed.health)
        if turned is not None:
            self.note(turned)
        self._step(now_s, tell=turned is not None)
        if reading.finished and not self._finished:
            self._finished = True
            self.note(
                Event(now_s, "feed_finished", Level.INFO, f"the feed has ended: {self._feed.name}")
            )

    def _step(self, now_s: float, *, tell: bool = False) -> None:
        """One step of the logic; ``tell`` the feed of its commands though they are unchanged."""
        result: StepResult = self._logic.step(now_s, self._switches, self._reading.aircraft)
        self._explainer.look(now_s, self._logic.changes)
        if result.outputs is not self._outputs:
            if self._outputs is None or _states(result.outputs) != _states(self._outputs):
                self._publish_soon()
            self._outputs = result.outputs
            for session in self._sessions:
                session.command(now_s, result.outputs)
            if now_s < self._asked_s + ASKED_S:
                self._next_publish_s = now_s
        if tell or result.commands is not self._commands:
            self._commands = result.commands
            self._feed.send(now_s, result.commands)
        for event in result.events:
            self.note(event)
        for event in self._hints.take(now_s, self._switches, self._reading.aircraft):
            self.note(event)

    def _publish_soon(self) -> None:
        """Something has happened: that is not left waiting like numbers."""
        if not self._hurries:
            self._next_publish_s = min(self._next_publish_s, self._published_s + PUBLISH_S)

    @property
    def _hurries(self) -> bool:
        return self._show is not None and self._show.hurries

    def _publish(self, now_s: float) -> None:
        show, outputs = self._show, self._outputs if self._outputs is not None else Outputs()
        self._published_s = now_s
        self._next_publish_s = now_s + (JUMP_PUBLISH_S if self._hurries else NUMBERS_S)
        reading, health = self._reading, self._feed.health()
        view = self._logic.view()
        self._explainer.look_at_values(now_s, view.values)
        for event in self._feed_watch.changes(now_s, health):
            self.note(event)
        self._snapshot = replace(
            self._snapshot,
            time_s=now_s,
            switches=self._switches,
            aircraft=reading.aircraft,
            outputs=outputs if show is None else show.seen(outputs),
            commands=self._commands,
            logic=view,
            world=self._logic.world(),
            boards=tuple(session.health() for session in self._sessions),
            events=tuple(self._events),
            event_count=self._event_count,
            feed_fresh=reading.fresh,
            feed=health,
            phase=reading.phase,
            finished=self._finished,
            positions=self._sim_panel.positions(now_s) if self._sim_panel is not None else {},
            reasons={name: self._logic.reasons(name) for name in self._explained},
            show=NO_SHOW if show is None else show.state(now_s),
            explanations=self._questions.answers(now_s),
        )
        if self._on_snapshot is not None:
            self._on_snapshot(self._snapshot)

    def _wait(self) -> None:
        due_s = min(self._next_tick_s, self._logic.next_due_s)
        filenos = []
        for session in self._sessions:
            due_s = min(due_s, session.next_due_s)
            fileno = session.fileno()
            if fileno is not None:
                filenos.append(fileno)
        if self._sim_panel is not None:
            due_s = min(due_s, self._sim_panel.next_due_s)
        if self._clock.now() < self._feed_rests_until_s:
            due_s = min(due_s, self._feed_rests_until_s)
        else:
            filenos += self._feed.filenos()
        self._waiter.wait(due_s, filenos)


def _states(outputs: Outputs) -> object:
    """What of the outputs is no number that drifts."""
    return outputs.lamps, outputs.horn, outputs.solenoids
