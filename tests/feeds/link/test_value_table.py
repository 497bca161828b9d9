"""The newest of each value, and how old it is."""

from __future__ import annotations

from math import exp
from pathlib import Path

import pytest

from panelbridge.errors import FeedError
from panelbridge.feeds.transports.transport import Arrival
from panelbridge.signals import GearPosition
from tests.feeds.link.fakes import IN, Rig, rig

VALUES = """
stale_after_s: 2
message: { form: names }
values:
  airspeed_kias: { at: v }
  throttles: { at: t, unit: percent }
  simulator_handle: { at: g, words: { up: 0, down: 1 }, stale_after_s: 10 }
  strut_left: { at: w }
"""
WHOLE = """
stale_after_s: 2
message: { form: delimited, columns: [v, t] }
values:
  airspeed_kias: { at: v }
  throttle_1: { at: t }
"""


def put(link: Rig, now_s: float, *messages: str) -> None:
    link.way_in.put(*messages)
    link.feed.poll(now_s)


def test_a_name_of_several_sets_all_of_them_and_the_rest_is_unknown(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    assert not link.feed.read(0.0).fresh
    put(link, 1.0, "v=140\nt=50\ng=1\nw=1")
    reading = link.feed.read(1.0)
    state = reading.aircraft
    assert reading.fresh
    assert reading.time_s == 1.0
    assert state.airspeed_kias == 140.0
    assert state.throttle_fraction == (0.5, 0.5)
    assert state.gear_handle is GearPosition.DOWN
    assert state.strut_compressed == (None, True, None)
    assert state.altitude_ft is None


def test_each_value_has_its_own_age(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    put(link, 0.0, "v=140\nt=50\ng=1")
    put(link, 1.5, "v=150")
    state = link.feed.read(2.1).aircraft
    assert state.airspeed_kias == 150.0
    assert state.throttle_fraction == (None, None)
    assert state.gear_handle is GearPosition.DOWN
    assert link.feed.health().unknown == {"throttles": "too old", "strut_left": ""}
    for now_s in range(3, 10):
        put(link, now_s, "v=150")
    assert link.feed.read(9.0).aircraft.gear_handle is GearPosition.DOWN
    put(link, 10.5, "v=150")
    assert link.feed.read(10.5).aircraft.gear_handle is None


def test_nothing_is_fresh_when_nothing_comes(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    put(link, 0.0, "g=1")
    assert link.feed.read(2.0).fresh
    reading = link.feed.read(2.1)
    assert not reading.fresh
    assert reading.aircraft.gear_handle is None


def test_what_cannot_be_read_is_unknown_at_once_and_counted(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    put(link, 0.0, "v=140\nt=50", "v=9000", "v=fast", "garbage")
    assert link.feed.read(0.0).aircraft.airspeed_kias is None
    assert link.feed.read(0.0).aircraft.throttle_fraction == (0.5, 0.5)
    health = link.feed.health()
    assert health.messages == 4
    assert health.refused == {
        "airspeed_kias: out of range": 1,
        "airspeed_kias: not a number": 1,
        "no name and value": 1,
    }
    assert health.unknown["airspeed_kias"] == "not a number"


def test_garbage_alone_keeps_nothing_fresh(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    put(link, 0.0, "v=140")
    for step in range(1, 30):
        put(link, step / 10, "v=1e9", "x=1")
    assert not link.feed.read(2.5).fresh


def test_where_a_message_holds_everything_an_empty_column_is_unknown(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + WHOLE)
    put(link, 0.0, "140,0.5")
    put(link, 0.1, "141,")
    state = link.feed.read(0.1).aircraft
    assert state.airspeed_kias == 141.0
    assert state.throttle_fraction == (None, None)
    assert "t: empty" in link.feed.health().refused


def test_the_same_object_while_nothing_changes(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + WHOLE)
    put(link, 0.0, "140,0.5")
    first = link.feed.read(0.0).aircraft
    put(link, 0.1, "140,0.5")
    assert link.feed.read(0.1).aircraft is first


def test_after_a_silence_nothing_from_before_is_known(tmp_path: Path) -> None:
    """A simulator that was started again may have its handle elsewhere, whatever the limit says."""
    link = rig(tmp_path, IN + VALUES)
    put(link, 0.0, "v=140\ng=1")
    for step in range(1, 8):
        link.feed.poll(step * 0.5)
    put(link, 4.0, "v=150")
    assert link.feed.read(4.0).fresh
    assert link.feed.read(4.0).aircraft.gear_handle is None


def test_what_waited_while_the_computer_stood_still_is_not_read(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    put(link, 0.0, "v=140")
    put(link, 30.0, "v=141", "v=142")
    assert not link.feed.read(30.0).fresh
    assert link.feed.health().refused == {"from before a standstill": 2}
    put(link, 30.1, "v=143")
    assert link.feed.read(30.1).aircraft.airspeed_kias == 143.0


def test_what_a_broker_kept_from_before_is_not_fresh(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES)
    link.way_in.arrivals.append(Arrival(b"v=140", "sim/v", is_retained=True))
    link.feed.poll(0.0)
    assert not link.feed.read(0.0).fresh
    assert link.feed.health().refused == {"kept by the broker from before": 1}


def test_smoothing_goes_on_though_the_same_is_sent(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + VALUES.replace("{ at: v }", "{ at: v, smooth_s: 1 }"))
    for now_s, text in ((0.0, "v=100"), (0.5, "v=200"), (1.0, "v=200"), (1.5, "v=200")):
        put(link, now_s, text)
    speed = link.feed.read(1.5).aircraft.airspeed_kias
    assert speed == pytest.approx(200.0 - 100.0 * exp(-1.5))


def test_who_else_may_reach_it_is_said(tmp_path: Path) -> None:
    assert rig(tmp_path, IN + VALUES).feed.health().warnings == ()
    anyone = IN.replace("45139", "45139, listen_address: 0.0.0.0")
    (warning,) = rig(tmp_path, anyone + VALUES).feed.health().warnings
    assert warning.startswith("any computer that reaches port 45139")


def test_what_cannot_be_opened_leaves_nothing_open(tmp_path: Path) -> None:
    target = "targets: { a: { transport: { over: udp, port: 1 }, commands: { g: { text: '{gear}' }"
    link = rig(tmp_path, IN + VALUES + target + " } } }\n")
    link.way_out.cannot_open = True
    with pytest.raises(FeedError):
        link.feed.open(0.0)
    assert all(transport.is_closed for transport in link.transports)
