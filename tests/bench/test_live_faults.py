"""What can be broken in a run with simulated boards: all of it breaks, is shown, and is mended."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from msgspec.structs import replace

from panelbridge.bench.live.breakable_parts import BreakablePart, PartRoom, breakable_parts
from panelbridge.bench.live.live_faults import PART_BROKEN, PART_MENDED, LiveFaults
from panelbridge.clock import PacedClock, VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.blocks.banner import BannerLook
from panelbridge.dashboard.blocks.status_banners import link_banner
from panelbridge.engine.assemble import Assembly, assemble_live
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.ports import IN_PROCESS_SCHEME
from panelbridge.link.session import LinkState
from panelbridge.link.session.link_quality import SLOW_MS
from panelbridge.logic.inventory import faults_of
from panelbridge.signals import AircraftState, HandleContacts, HornPattern

BOARD = "gear_panel"
BROKEN_S = 1.5
SETTLE_S = 4.0
"""A board that was unplugged is looked for again within this time."""


@pytest.fixture(scope="module")
def loaded() -> LoadedPanel:
    """The demonstration panel with a parked aircraft."""
    panel = load_panel(shipped_config("panels/demo_panel.yaml"))
    return replace(panel, feed=None, feed_path=None)


@pytest.fixture(scope="module")
def parts(loaded: LoadedPanel) -> dict[str, BreakablePart]:
    return dict(breakable_parts(loaded))


class Parked:
    """A run of the panel that is parked."""

    def __init__(self, loaded: LoadedPanel, parts: dict[str, BreakablePart]) -> None:
        urls = {name: IN_PROCESS_SCHEME + name for name in loaded.panel.boards}
        clock = PacedClock(1.0, VirtualClock())
        self.assembly: Assembly = assemble_live(loaded, urls, as_show=True, clock=clock)
        show, sim_panel = self.assembly.show, self.assembly.sim_panel
        assert show is not None
        assert sim_panel is not None
        self.engine, self.sim_panel, self.feed = self.assembly.engine, sim_panel, show.feed
        self.faults = show.parts = LiveFaults(parts, self.engine, sim_panel, show.feed)
        self.pass_s(2.0)

    def pass_s(self, span_s: float) -> Snapshot:
        end_s = self.assembly.clock.now() + span_s
        while self.assembly.clock.now() < end_s:
            self.engine.turn()
        return self.engine.snapshot()

    def change(self, words: str, after_s: float = BROKEN_S) -> Snapshot:
        """Break a part, or mend it."""
        self.engine.post(lambda now_s: self.faults.break_or_mend(now_s, words))
        return self.pass_s(after_s)

    def settle(self) -> Snapshot:
        """Let it settle, then press what resets the master warning and caution."""
        self.pass_s(SETTLE_S)
        self.move("master_reset", "pressed")
        self.pass_s(0.3)
        self.move("master_reset", "released")
        return self.pass_s(0.3)

    def move(self, switch: str, position: str | float) -> None:
        self.engine.post(lambda now_s: self.sim_panel.move(now_s, switch, position))


@pytest.fixture
def parked(loaded: LoadedPanel, parts: dict[str, BreakablePart]) -> Iterator[Parked]:
    run = Parked(loaded, parts)
    yield run
    run.engine.close()
    run.assembly.close()


def as_seen(snapshot: Snapshot) -> object:
    """What of a snapshot must be the same again; pressures and times go on."""
    logic = snapshot.logic
    return (
        snapshot.outputs.lamps,
        snapshot.outputs.horn,
        snapshot.switches,
        snapshot.aircraft,
        snapshot.feed_fresh,
        [board.state for board in snapshot.boards],
        (logic.legs, logic.handle, logic.gear_demand, logic.faults, logic.on_ground),
        snapshot.show,
    )


def test_the_list_has_what_is_declared_and_what_is_wired(
    loaded: LoadedPanel, parts: dict[str, BreakablePart]
) -> None:
    of_systems = {
        (part.target, part.kind) for part in parts.values() if part.room is PartRoom.SYSTEM
    }
    declared = {
        (name, kind) for name, kinds in faults_of(loaded.aircraft).items() for kind in kinds
    }
    assert of_systems == declared
    for room, names in (
        (PartRoom.SWITCH, set(loaded.panel.wired_switches)),
        (PartRoom.LAMP, {*loaded.panel.lamps, "horn"}),
        (PartRoom.BOARD, set(loaded.panel.boards)),
    ):
        assert {part.target for part in parts.values() if part.room is room} == names
    for words in ("feed lost", "feed stuck", "strut nose lost", "left outer wheel rpm stuck"):
        assert parts[words].room is PartRoom.VALUE


def test_a_panel_without_a_horn_has_none_to_break(loaded: LoadedPanel) -> None:
    mute = replace(loaded, panel=loaded.panel.model_copy(update={"horn": None}))
    assert "horn dead" not in breakable_parts(mute)


def test_all_of_it_broken_and_mended_leaves_nothing(
    parked: Parked, parts: dict[str, BreakablePart]
) -> None:
    before = as_seen(parked.pass_s(0.1))

    def break_and_mend(now_s: float) -> None:
        for words in parts:
            parked.faults.break_or_mend(now_s, words)
        assert len(parked.faults.broken) > 50
        parked.faults.mend_all(now_s)

    parked.engine.post(break_and_mend)
    parked.pass_s(0.1)
    assert parked.faults.broken == ()
    assert as_seen(parked.settle()) == before


def test_of_each_class_one_is_broken_for_a_while_and_mended(
    parked: Parked, parts: dict[str, BreakablePart]
) -> None:
    classes = {(part.room, part.kind, part.target == "feed"): part for part in parts.values()}
    assert len(classes) > 20
    before = as_seen(parked.pass_s(0.1))
    for part in classes.values():
        count = parked.engine.snapshot().event_count
        broken = parked.change(part.words)
        if part.kind != "reset":
            assert broken.show.broken == (part.words,)
            parked.change(part.words, 0.1)
        after = parked.settle()
        assert as_seen(after) == before, part.words
        noted = [
            event.name
            for event in after.events[count - after.event_count :]
            if event.subject == part.target and event.name in (PART_BROKEN, PART_MENDED)
        ]
        assert noted == [PART_BROKEN, PART_MENDED][: 1 if part.kind == "reset" else 2], part.words


def test_one_way_of_breaking_takes_the_place_of_another(parked: Parked) -> None:
    parked.change("left leg hung", 0.1)
    assert parked.change("left leg contradictory", 0.1).show.broken == ("left leg contradictory",)
    parked.change("gear handle switch stuck", 0.1)
    both = parked.change("gear handle switch bouncing", 0.1).show.broken
    assert both == (
        "left leg contradictory",
        "gear handle switch stuck",
        "gear handle switch bouncing",
    )


def test_words_that_are_no_part_break_nothing(parked: Parked) -> None:
    assert parked.change("the sky fallen", 0.1).show.broken == ()


def lost(snapshot: Snapshot) -> bool:
    return snapshot.boards[0].state is not LinkState.LIVE


@pytest.mark.parametrize(
    ("words", "is_so"),
    [
        (f"{BOARD.replace('_', ' ')} unplugged", lost),
        ("feed lost", lambda now: now.aircraft == AircraftState() and not now.feed_fresh),
        ("strut nose lost", lambda now: now.aircraft.strut_compressed[0] is None),
        (
            "nose leg contradictory",
            lambda now: not now.outputs.lamps["nose_green"],
        ),
        (
            "gear handle switch contradictory",
            lambda now: now.switches.get("gear_handle") is HandleContacts.BOTH,
        ),
    ],
)
def test_it_is_broken_as_its_words_say(
    parked: Parked, words: str, is_so: Callable[[Snapshot], bool]
) -> None:
    assert not is_so(parked.engine.snapshot())
    assert is_so(parked.change(words))


def test_a_dead_lamp_and_a_dead_horn_are_dark_and_silent(parked: Parked) -> None:
    parked.move("lamp_test", "pressed")
    lit = parked.pass_s(0.5).outputs
    assert lit.lamps["nose_green"]
    assert lit.horn is not HornPattern.SILENT
    parked.change("nose green dead", 0.1)
    broken = parked.change("horn dead", 0.1).outputs
    assert not broken.lamps["nose_green"]
    assert broken.lamps["left_green"]
    assert broken.horn is HornPattern.SILENT
    assert not parked.sim_panel.lit()["nose_green"]


def test_a_cable_that_damages_frames_is_a_poor_link_and_a_slow_one_takes_its_time(
    parked: Parked,
) -> None:
    cable = BOARD.replace("_", " ")
    quick_ms = parked.engine.snapshot().boards[0].round_trip_ms
    assert quick_ms is not None
    late = parked.change(f"{cable} slow", 8.0)
    slow = late.boards[0]
    assert slow.state is LinkState.LIVE
    assert slow.round_trip_ms is not None
    assert slow.round_trip_ms > max(SLOW_MS, quick_ms)
    assert slow.poor.startswith("answers take")
    assert link_banner(late.boards).look is BannerLook.CAUTION
    parked.change(f"{cable} slow", 0.1)
    poor = parked.change(f"{cable} damaged frames", 12.0)
    assert poor.boards[0].poor
    assert "link_found_poor" in [event.name for event in poor.events]
