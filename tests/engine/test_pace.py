"""The time of a run as a show: what is paused, stepped, sped up or jumped is what was flown."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import asdict

from panelbridge.clock import PacedClock, VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import AHEAD_S, Assembly, assemble_demo
from panelbridge.engine.loop import TICK_S
from panelbridge.engine.pace import JUMP_GIVEN_UP, LONGEST_JUMP_S, Pace
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.stage import FLIGHT_BEGAN_AGAIN, Stage
from panelbridge.feeds.flight_script import PHASES
from panelbridge.signals import Event

TAXI = [name for _, name in PHASES].index("taxi")
TAXI_S = PHASES[TAXI][0]


@pytest.fixture(scope="module")
def loaded() -> LoadedPanel:
    return load_panel(shipped_config("panels/demo_panel.yaml"))


class Run:
    """The demonstration flight, in real time that is virtual too.

    Args:
        loaded: the panel.
        speed: times real time.

    Attributes:
        real: the real time.
        events: what came.
    """

    def __init__(
        self,
        loaded: LoadedPanel,
        speed: float = 1.0,
        on_snapshot: Callable[[Snapshot], None] | None = None,
        *,
        flight_model: bool = False,
        ahead_s: float = 0.0,
    ) -> None:
        self.real = VirtualClock()
        self.events: list[Event] = []
        clock = PacedClock(speed, self.real, ahead_s=ahead_s)
        self.assembly = assemble_demo(
            loaded,
            flight_model=flight_model,
            clock=clock,
            on_event=self.events.append,
            on_snapshot=on_snapshot,
        )

    def __enter__(self) -> Run:
        return self

    def __exit__(self, *exc_info: object) -> None:
        self.assembly.engine.close()
        self.assembly.close()

    @property
    def pace(self) -> Pace:
        show = self.assembly.show
        assert show is not None
        assert show.pace is not None
        return show.pace

    @property
    def now_s(self) -> float:
        return self.assembly.clock.now()

    def ask(self, order: Callable[[float], None]) -> None:
        self.assembly.engine.post(order)

    def to(self, time_s: float) -> None:
        """Turn until that time of the run."""
        while self.now_s < time_s:
            self.assembly.engine.turn()

    def turns(self, count: int) -> None:
        for _ in range(count):
            self.assembly.engine.turn()

    def what_is(self) -> object:
        """The whole memory of its logic, its boards, and their links."""
        assembly, now_s = self.assembly, self.now_s
        panel = assembly.sim_panel
        assert panel is not None
        boards = (panel.lamps(), panel.horn(), panel.gauges_us(), panel.positions(now_s))
        links = [session.health() for session in assembly.sessions]
        return (now_s, assembly.engine._logic.save(), boards, links)


def seen(assembly: Assembly) -> object:
    """What the screen has."""
    snapshot = assembly.engine.snapshot()
    return {name: value for name, value in asdict(snapshot).items() if name != "world"}


Plain = Callable[[float], tuple[object, list[Event]]]
"""What is at a time of the run when nothing is done, and the events until then."""


@pytest.fixture(scope="module")
def plain(loaded: LoadedPanel) -> Plain:
    found: dict[float, tuple[object, list[Event]]] = {}
    with Run(loaded) as run:
        for time_s in (8.0, 12.0, TAXI_S + 2.0):
            run.to(time_s)
            found[time_s] = (run.what_is(), [*run.events])
    return found.__getitem__


def test_a_pause_of_any_length_changes_nothing(loaded: LoadedPanel, plain: Plain) -> None:
    with Run(loaded) as run:
        run.to(6.0)  # a pump runs, and fills its accumulator
        run.ask(run.pace.pause_or_go)
        run.turns(1)
        held, held_real_s, began_s = seen(run.assembly), run.real.now(), run.now_s
        run.turns(400)
        assert run.real.now() >= held_real_s + 19.9
        assert run.now_s == began_s
        assert seen(run.assembly) == held
        assert run.assembly.engine.snapshot().show.is_paused
        run.ask(run.pace.pause_or_go)
        run.to(8.0)
        assert (run.what_is(), run.events) == plain(8.0)
        assert not run.assembly.engine.snapshot().show.is_paused


def test_a_run_that_may_be_ahead_of_real_time_is_the_same_and_sleeps_ten_times_a_second(
    loaded: LoadedPanel, plain: Plain
) -> None:
    with Run(loaded, ahead_s=AHEAD_S) as run:
        seen_s: list[float] = []
        while run.now_s < 8.0:
            run.assembly.engine.turn()
            seen_s.append(run.real.now())
        assert (run.what_is(), run.events) == plain(8.0)
        assert 0.0 <= run.now_s - run.real.now() <= AHEAD_S
        assert len(set(seen_s)) <= 8.0 * 12


def test_a_switch_that_is_moved_in_a_pause_is_seen_and_works_when_time_goes_on(
    loaded: LoadedPanel,
) -> None:
    with Run(loaded) as run:
        run.to(3.0)
        sim_panel = run.assembly.sim_panel
        assert sim_panel is not None
        run.ask(run.pace.pause_or_go)
        run.turns(1)
        run.ask(lambda now_s: sim_panel.move(now_s, "antiskid", "on"))
        run.turns(10)
        paused = run.assembly.engine.snapshot()
        assert paused.positions["antiskid"] == "on"
        assert paused.switches.get("antiskid") is False
        run.ask(run.pace.pause_or_go)
        run.to(3.5)
        assert run.assembly.engine.snapshot().switches.get("antiskid") is True


@pytest.mark.parametrize("rate", [0.25, 2.0, 16.0])
def test_a_rate_gives_the_same_flight_in_another_time(
    loaded: LoadedPanel, plain: Plain, rate: float
) -> None:
    with Run(loaded) as run:
        order = run.pace.faster if rate > 1.0 else run.pace.slower
        while run.pace.rate != rate:
            order(0.0)
        run.to(12.0)
        assert run.real.now() == pytest.approx(12.0 / rate, abs=0.1)
        assert (run.what_is(), run.events) == plain(12.0)
        assert run.assembly.engine.snapshot().show.rate == rate


def test_faster_and_slower_end_at_the_last_rates(loaded: LoadedPanel, plain: Plain) -> None:
    with Run(loaded, speed=100.0) as run:
        pace = run.pace
        pace.faster(0.0)
        assert pace.rate == 100.0
        rates = []
        for _ in range(9):
            pace.slower(0.0)
            rates.append(pace.rate)
        assert rates == [16.0, 8.0, 4.0, 2.0, 1.0, 0.5, 0.25, 0.25, 0.25]


@pytest.mark.parametrize("span_s", [0.1, 1.0])
def test_a_step_lets_so_much_pass_at_once_and_stops_again(
    loaded: LoadedPanel, plain: Plain, span_s: float
) -> None:
    with Run(loaded) as run:
        run.to(5.0)
        begin_s, real_s = run.now_s, run.real.now()
        for _ in range(3):
            run.ask(lambda now_s: run.pace.step(now_s, span_s))
        run.turns(400)
        assert run.now_s == pytest.approx(begin_s + 3 * span_s, abs=0.021)
        stood_s = run.real.now() - real_s
        run.turns(20)
        assert run.real.now() - real_s - stood_s == pytest.approx(20 * 0.05)
        assert stood_s < 400 * 0.05
        run.ask(run.pace.pause_or_go)
        run.to(12.0)
        assert (run.what_is(), run.events) == plain(12.0)


def test_a_jump_is_the_flight_to_there(loaded: LoadedPanel, plain: Plain) -> None:
    with Run(loaded) as run:
        run.to(5.0)
        real_s = run.real.now()
        run.ask(lambda now_s: run.pace.jump(now_s, TAXI))
        run.turns(1)
        assert run.assembly.engine.snapshot().show.jumping_to in ("", "taxi")
        assert run.pace.jumping_to == "taxi"
        while run.pace.jumping_to:
            run.turns(1)
        # The tick that sees the phase, and the turn after it.
        assert TAXI_S <= run.now_s <= TAXI_S + 3 * TICK_S + 1e-6
        assert run.real.now() - real_s < 0.1  # as fast as the machine can
        run.to(TAXI_S + 2.0)
        assert run.real.now() - real_s > 1.8  # and at its rate again
        assert (run.what_is(), run.events) == plain(TAXI_S + 2.0)


def test_a_jump_with_the_flight_model_is_its_flight_to_there(loaded: LoadedPanel) -> None:
    with Run(loaded, flight_model=True) as run:
        names = list(run.pace.phases)
        run.ask(lambda now_s: run.pace.jump(now_s, names.index("taxi")))
        run.turns(1)
        while run.pace.jumping_to:
            run.turns(1)
        run.turns(20)
        there_s, jumped = run.now_s, (run.what_is(), run.events)
        assert run.assembly.engine.snapshot().phase == "taxi"
    with Run(loaded, flight_model=True) as run:
        run.to(there_s)
        assert (run.what_is(), run.events) == jumped


def test_a_jump_in_a_pause_ends_in_a_pause_at_the_start_of_the_phase(
    loaded: LoadedPanel, plain: Plain
) -> None:
    with Run(loaded) as run:
        run.ask(run.pace.pause_or_go)
        run.ask(lambda now_s: run.pace.jump(now_s, 1))
        run.turns(1)
        while run.pace.jumping_to:
            run.turns(1)
        assert run.pace.is_paused
        assert run.now_s == pytest.approx(PHASES[1][0] + TICK_S, abs=TICK_S + 1e-6)


def test_a_pause_ends_a_jump(loaded: LoadedPanel, plain: Plain) -> None:
    with Run(loaded) as run:
        run.ask(lambda now_s: run.pace.jump(now_s, 5))
        run.turns(50)
        run.ask(run.pace.pause_or_go)
        run.turns(50)
        assert not run.pace.jumping_to
        assert run.pace.is_paused
        assert run.now_s < 5.0


def test_a_jump_back_is_a_new_flight_to_there(loaded: LoadedPanel, plain: Plain) -> None:
    starts: list[Assembly] = []

    def stop_again(snapshot: Snapshot) -> None:
        if run.assembly.engine is not first and snapshot.time_s >= 24.0:
            stage.stop()

    with Run(loaded, on_snapshot=stop_again) as run:
        stage, first, assembly = (
            Stage(run.assembly, starts.append),
            run.assembly.engine,
            run.assembly,
        )
        run.to(21.0)
        run.pace.faster(0.0)
        real_s = run.real.now()
        run.ask(lambda now_s: run.pace.jump(now_s, 1))
        stage.run()
        # At once to the phase, and on from there at twice its time; the boards are let go before.
        assert run.real.now() - real_s < (24.0 - TAXI_S) / 2.0 + 1.0
        assert run.assembly is assembly
        assert assembly.engine is not first
        assert starts == [assembly, assembly]
        assert run.pace.rate == 2.0
        snapshot = assembly.engine.snapshot()
        assert snapshot.event_count == len(run.events)
        assert snapshot.events == tuple(run.events)
        began = [event.name for event in run.events].index(FLIGHT_BEGAN_AGAIN)
        _, flown = plain(TAXI_S + 2.0)
        assert run.events[began + 1 :][: len(flown)] == flown
        assert assembly.clock.now() >= 24.0


def test_a_phase_that_is_never_reached_is_given_up() -> None:
    class Waiting:
        phases = ("one", "two")

        def phase_index(self, now_s: float) -> int:
            return 0

    notes: list[Event] = []
    clock = PacedClock(1.0, VirtualClock())
    pace = Pace(clock, Waiting())
    pace.note = notes.append
    pace.jump(0.0, 1)
    assert not pace.holds(LONGEST_JUMP_S - 1.0)
    assert pace.jumping_to == "two"
    assert not pace.holds(LONGEST_JUMP_S)
    assert not pace.jumping_to
    assert clock.speed == 1.0
    assert [event.name for event in notes] == [JUMP_GIVEN_UP]
