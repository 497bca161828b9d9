from __future__ import annotations

import os
import threading
from collections.abc import Iterator

import pytest

from panelbridge.errors import LinkError, PortMissing
from panelbridge.link.ports import BytePort, PortOpener
from panelbridge.link.ports import opener as opener_module
from tests.link.bench import FakePort, Peer
from tests.link.test_port import until


class Gate:
    """An opening that takes until the test lets it."""

    def __init__(self) -> None:
        self.open = threading.Event()
        self.port = FakePort(Peer())
        self.outcome: Exception | None = None
        self.asked: list[tuple[str, int]] = []

    def open_port(self, url: str, baud: int, **options: object) -> BytePort:
        self.asked.append((url, baud))
        self.open.wait(10.0)
        if self.outcome is not None:
            raise self.outcome
        return self.port


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[Gate]:
    gate = Gate()
    monkeypatch.setattr(opener_module, "open_port", gate.open_port)
    yield gate
    gate.open.set()


def test_opening_does_not_block_and_wakes_at_its_end(gate: Gate) -> None:
    woken = threading.Event()
    opening = PortOpener(woken.set)("COM5", 250_000)
    assert opening.result() is None
    gate.open.set()
    assert woken.wait(5.0)
    assert opening.result() is gate.port
    assert gate.asked == [("COM5", 250_000)]
    assert not gate.port.closed


def test_a_failure_is_a_result(gate: Gate) -> None:
    gate.outcome = PortMissing("there is no such port")
    gate.open.set()
    opening = PortOpener()("COM5", 250_000)
    until(lambda: opening.result() is not None)
    assert opening.result() is gate.outcome


def test_a_defect_is_raised_where_the_result_is_read(gate: Gate) -> None:
    gate.outcome = ZeroDivisionError("a bug")
    gate.open.set()
    opening = PortOpener()("COM5", 250_000)

    def is_raised() -> bool:
        try:
            opening.result()
        except ZeroDivisionError:
            return True
        return False

    until(is_raised)


def test_an_abandoned_port_is_closed_as_soon_as_it_is_open(gate: Gate) -> None:
    opening = PortOpener()("COM5", 250_000)
    opening.abandon()
    assert not gate.port.closed
    gate.open.set()
    until(lambda: gate.port.closed)


@pytest.mark.skipif(os.name != "posix", reason="ports have no files")
@pytest.mark.parametrize(("url", "waits"), [("/dev/fake", True), ("socket://host:1", False)])
def test_the_end_of_the_program_waits_for_a_port_with_a_file(
    gate: Gate, url: str, waits: bool
) -> None:
    """Killed between its opening and its closing it would keep the settings of a board's port."""
    PortOpener()(url, 250_000)
    (thread,) = [each for each in threading.enumerate() if each.name.endswith(f"opener {url}")]
    assert thread.daemon is not waits


def test_an_open_port_that_is_abandoned_is_closed(gate: Gate) -> None:
    gate.open.set()
    opening = PortOpener()("COM5", 250_000)
    until(lambda: opening.result() is not None)
    opening.abandon()
    assert gate.port.closed


def test_a_board_in_this_process_opens_at_once(gate: Gate) -> None:
    gate.open.set()
    before = threading.active_count()
    opening = PortOpener()("simboard://gear", 250_000)
    assert opening.result() is gate.port
    assert threading.active_count() == before
    opening.abandon()
    assert gate.port.closed


def test_a_board_in_this_process_that_is_missing(gate: Gate) -> None:
    gate.outcome = PortMissing("no such board")
    gate.open.set()
    opening = PortOpener()("SIMBOARD://gear", 250_000)
    assert isinstance(opening.result(), LinkError)
    opening.abandon()
