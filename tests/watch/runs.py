"""Runs for the tests of viewers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from msgspec.structs import replace

from panelbridge.clock import VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine import Snapshot
from panelbridge.engine.assemble import assemble_demo
from panelbridge.signals import Event, Level


def loaded(name: str = "demo_panel") -> LoadedPanel:
    return load_panel(shipped_config(f"panels/{name}.yaml"))


@contextmanager
def flown(name: str, times_s: Sequence[float]) -> Iterator[list[Snapshot]]:
    """Snapshots of the demonstration flight with a panel, in virtual time."""
    assembly = assemble_demo(loaded(name), clock=VirtualClock())
    engine = assembly.engine
    found = []
    try:
        engine.open()
        for time_s in times_s:
            while engine.snapshot().time_s < time_s:
                engine.turn()
            found.append(engine.snapshot())
        yield found
    finally:
        engine.close()
        assembly.close()


def event(number: int, text: str = "text") -> Event:
    return Event(float(number), "something_happened", Level.INFO, f"{text} {number}")


def snapshot(count: int, kept: int = 200, text: str = "text") -> Snapshot:
    """A snapshot after so many events."""
    first = max(count - kept, 0)
    events = tuple(event(number, text) for number in range(first, count))
    return Snapshot(time_s=float(count), events=events, event_count=count)


def same(one: Snapshot, other: Snapshot) -> bool:
    """Equal in all that travels."""
    return one == replace(other, world=one.world)
