"""The raw capture through a session: requested, begun, reported."""

from __future__ import annotations

from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import LinkLost
from panelbridge.link.wire import NO_CONTACT, Capture, Captured, MessageType
from tests.link.bench import Bench

SEEN = Captured(0, 1, True, 3, 20, (0, 150, 900))


def captured(bench: Bench) -> list[Captured]:
    return bench.received(Captured)


def test_a_live_board_is_asked_and_its_result_is_reported(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    assert bench.session.capture(bench.clock.now(), 1, 250)
    asked = [m for m in bench.peer.heard if m[0] == MessageType.CAPTURE]
    assert [Capture.unpack(m) for m in asked] == [Capture(bench.peer.session, 1, 250)]
    begins = Captured(bench.peer.session, 1, False, 0, 20)
    seen = Captured(bench.peer.session, 1, True, 3, 20, (0, 150, 900))
    bench.peer.send(begins.pack())
    bench.turn()
    assert captured(bench) == [begins]
    bench.peer.send(seen.pack())
    bench.turn()
    assert captured(bench) == [begins, seen]
    assert [each.changes == 0 for each in captured(bench)] == [True, False]
    assert bench.session.health().frame_errors == 0
    assert bench.state == "live"


def test_a_result_of_another_session_is_not_reported(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.send(Captured(bench.peer.session + 1, 1, True, 1, 20, (0,)).pack())
    bench.turn()
    assert captured(bench) == []


def test_one_that_makes_no_sense_is_counted(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.send(SEEN.pack()[:-1])
    bench.turn()
    assert captured(bench) == []
    assert bench.session.health().frame_errors == 1


def test_a_board_that_is_not_live_is_not_asked(panel: PanelFile) -> None:
    bench = Bench(panel)
    assert not bench.session.capture(0.0, 0)
    bench.turn()
    bench.peer.reports_by_itself = False
    bench.peer.hello()
    bench.run(0.1)  # set up, but no REPORT has come
    assert not bench.session.capture(bench.clock.now(), 0)
    assert MessageType.CAPTURE not in bench.peer.kinds_heard()
    bench.peer.report()
    bench.turn()
    assert bench.session.capture(bench.clock.now(), NO_CONTACT)
    assert bench.peer.kinds_heard()[-1] == MessageType.CAPTURE


def test_a_port_that_fails_then_is_a_lost_board(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.port.broken = True
    assert not bench.session.capture(bench.clock.now(), 0)
    bench.outcomes.append(LinkLost("gone", "fake"))
    bench.turn()
    assert "board_lost" in bench.names()
