"""The list of the link's events against the source and against scenes that make them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import panelbridge.link
from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import LinkError, PortBusy, PortMissing
from panelbridge.link.session import LINK_EVENTS, BoardLost, link_event
from panelbridge.link.session.link_events import OFTEN, OFTEN_LOST, QUIET_S
from panelbridge.link.session.link_quality import WINDOW_S
from panelbridge.link.wire import ReportFlag
from panelbridge.link.wire.time_outs import BACK_OFF_CAP_S, HELLO_WAIT_S
from panelbridge.logic.systems import EVENTS
from panelbridge.signals import Event
from tests.link.bench import Bench

PACKAGE = Path(panelbridge.link.__file__).parent


def texts_in(node: ast.AST) -> set[str]:
    return {
        part.value
        for part in ast.walk(node)
        if isinstance(part, ast.Constant) and isinstance(part.value, str)
    }


def names_in_source() -> Iterator[str]:
    """What is given to ``_publish``, and what ``_event_name`` returns for an error."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                if node.func.attr in ("_publish", "_lost"):
                    yield from texts_in(node.args[1])
            elif isinstance(node, ast.FunctionDef) and node.name == "_event_name":
                for part in ast.walk(node):
                    if isinstance(part, ast.Return) and part.value is not None:
                        yield from texts_in(part.value)


def test_every_published_event_is_registered_and_vice_versa() -> None:
    assert set(names_in_source()) == set(LINK_EVENTS)


def test_a_name_that_is_not_registered_is_an_error() -> None:
    with pytest.raises(KeyError):
        link_event(0.0, "board_exploded", "gear", "/dev/fake")


def test_the_logic_has_no_event_of_the_same_name() -> None:
    assert not set(LINK_EVENTS) & set(EVENTS)


def test_an_event_names_its_board_and_port_and_keeps_the_reason_as_it_is() -> None:
    event = link_event(1.5, "board_lost", "gear", "/dev/{fake}", "it {went} away")
    level, _ = LINK_EVENTS["board_lost"]
    text = "board gear (/dev/{fake}): it {went} away"
    assert event == Event(1.5, "board_lost", level, text, "gear")


def scene_of_a_good_board(panel: PanelFile) -> Bench:
    """Connected, noisy, overrun, not hearing the host, reset, lost and back."""
    bench = Bench(panel)
    bench.go_live()
    for _ in range(OFTEN):
        bench.peer.report(flags=int(ReportFlag.HOST_SILENT))
        bench.turn()
        bench.clock.advance(0.05)
        bench.peer.report()
        bench.turn()
    bench.peer.report(flags=int(ReportFlag.NOISY_CONTACT | ReportFlag.EDGES_LOST))
    bench.turn()
    for _ in range(OFTEN_LOST):
        bench.peer.reset()
        bench.peer.hello()
        bench.run(0.5)
    bench.run(QUIET_S + 1.0, reports=True)
    bench.port.broken = True
    bench.run(0.1)
    bench.peer.reset()
    bench.run_until("greeting")
    bench.peer.hello()
    bench.run_until("live")
    return bench


def scene_of_a_bad_board(panel: PanelFile) -> Bench:
    """Missing, busy, mute, of another kind."""
    bench = Bench(panel)
    missing: LinkError = PortMissing("there is no such port", "/dev/fake")
    bench.outcomes = [missing, PortBusy("another program holds the port", "/dev/fake")]
    bench.peer.mute = True
    bench.run(HELLO_WAIT_S + 2 * BACK_OFF_CAP_S)
    bench.peer.mute = False
    bench.peer.code += 1
    bench.run_until("greeting")
    bench.peer.hello()
    bench.run_until("refused")
    return bench


def scene_of_a_bad_cable(panel: PanelFile) -> Bench:
    """Every other frame damaged for some seconds."""
    bench = Bench(panel)
    bench.go_live()
    for _ in range(40):
        bench.peer.inbox.append(b"\x00\x05damaged\x00")
        bench.peer.report()
        bench.run(0.1)
    assert bench.session.health().poor
    bench.run(WINDOW_S + 2.0, reports=True)
    assert not bench.session.health().poor
    return bench


def test_a_board_that_comes_and_goes_is_reported_once_and_again_when_it_stays(
    panel: PanelFile,
) -> None:
    """It is reset for ever, twice a second; each time its switches become unknown all the same."""
    bench = Bench(panel)
    bench.go_live()
    for _ in range(4 * OFTEN_LOST):
        bench.peer.reset()
        bench.peer.hello()
        bench.run(0.5)
    assert bench.names().count("board_was_reset") == OFTEN_LOST - 1
    assert bench.names().count("board_often_lost") == 1
    assert bench.names()[-1] == "board_often_lost"
    assert len(bench.received(BoardLost)) == 4 * OFTEN_LOST
    bench.run(QUIET_S - 1.0, reports=True)
    assert bench.names()[-1] == "board_often_lost"
    bench.run(2.0, reports=True)
    assert bench.names()[-1] == "board_reconnected"
    bench.peer.reset()
    bench.peer.hello()
    bench.run(0.5)
    assert bench.names()[-2:] == ["board_was_reset", "board_reconnected"]


def test_scenes_make_every_registered_event(panel: PanelFile) -> None:
    seen = [
        event
        for scene_of in (scene_of_a_good_board, scene_of_a_bad_board, scene_of_a_bad_cable)
        for scene in (scene_of(panel),)
        for event in scene.received(Event)
    ]
    assert {event.name for event in seen} == set(LINK_EVENTS)
    for event in seen:
        assert event.level is LINK_EVENTS[event.name][0]
        assert event.text.startswith("board gear (/dev/fake): ")
        assert "{" not in event.text
