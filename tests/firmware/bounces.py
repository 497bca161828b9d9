"""Bouncing contacts, in lock-step with the board's time."""

from __future__ import annotations

import random

from panelbridge.link.wire import Edge
from tests.simboard.host import Bench, Host


def bounce(
    bench: Bench, pin: str, closed: bool, length_us: int, rng: random.Random, *, toggle_us: int = 0
) -> None:
    """Move a contact to ``closed``; for ``length_us`` it toggles every 50 to 200 us.

    Args:
        bench: the board.
        pin: its contact.
        closed: the contact's final state.
        length_us: from the first change to the last.
        rng: random source of the times between toggles.
        toggle_us: a fixed time between toggles; None = random.
    """
    left_us, now = length_us, closed
    bench.set_contact(pin, now)
    while left_us > 0:
        step_us = min(toggle_us or rng.randint(50, 200), left_us)
        bench.pass_time(step_us / 1e6)
        left_us -= step_us
        now = not now
        bench.set_contact(pin, now if left_us else closed)


def all_edges(host: Host) -> list[Edge]:
    """Every edge that the board has reported in this session, each once."""
    found: dict[int, Edge] = {}
    for report in host.reports():
        if report.session == host.session:
            found |= dict(enumerate(report.edges, report.first_edge))
    return [found[number] for number in sorted(found)]
