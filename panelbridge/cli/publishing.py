"""A run that is published: how it is asked for, what viewers may do, and what is said of it."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from typing import Any

from panelbridge.cli.run_options import PublishOptions
from panelbridge.cli.viewed_content import VIEWED, viewed_content
from panelbridge.config.load import LoadedPanel
from panelbridge.dashboard.interfaces import SwitchControl
from panelbridge.engine.assemble import Assembly
from panelbridge.errors import UsageError
from panelbridge.printing import say
from panelbridge.signals import Event, Level
from panelbridge.watch.find_run import is_loopback, split_address
from panelbridge.watch.greeting import LEAST_TOKEN
from panelbridge.watch.publication import Publication, PublishRequest
from panelbridge.watch.publisher import LOOPBACK, asks_why

TOKEN_VARIABLE = "PANELBRIDGE_TOKEN"
UNENCRYPTED = (
    "what viewers see and do travels unencrypted: only in a network whose computers you trust"
)


def own_token() -> str:
    """The token that the user has chosen; empty = none. Raises: UsageError, when it is short."""
    token = os.environ.get(TOKEN_VARIABLE, "")
    if token and len(token) < LEAST_TOKEN:
        what = f"the token has {len(token)} characters: it could be guessed"
        hint = f"take at least {LEAST_TOKEN}, or none: each run then has a random one"
        raise UsageError(what, TOKEN_VARIABLE, hint)
    return token


@contextmanager
def published(
    loaded: LoadedPanel, options: PublishOptions, *, flies_again: bool
) -> Iterator[RunPublication]:
    """Publish a run while it goes on.

    Args:
        loaded: the panel.
        options: of the command line.
        flies_again: the run has a flight that can be flown again.

    Raises:
        UsageError: the address cannot be had.
    """
    from panelbridge.cli.screen import fitted_switches

    host, port = split_address(options.at) if options.at else (LOOPBACK, 0)
    content = VIEWED.write(viewed_content(loaded, flies_again=flies_again))
    request = PublishRequest(loaded.panel.name, content, host, port, own_token(), options.hands)
    if not is_loopback(host):
        say(f"warning: {UNENCRYPTED}", sys.stderr)
    publication = Publication(request)
    try:
        yield RunPublication(publication, fitted_switches(loaded), hands=options.hands)
    finally:
        publication.close()


class RunPublication:
    """A run that is published.

    Args:
        publication: its publisher.
        switches: of the panel.
        hands: viewers may move them.
    """

    def __init__(
        self, publication: Publication, switches: Sequence[SwitchControl], *, hands: bool
    ) -> None:
        self._publication = publication
        self._switches = switches
        self._hands = hands
        self.on_snapshot = publication.put
        """Publishes a snapshot: for the engine's thread."""

    def join(self, assembly: Assembly) -> None:
        """Take the viewers' orders to the engine, and events about the publisher into its log."""
        host = self._publication.host
        where = f"{host}:{self._publication.port}"
        level, text = Level.INFO, f"viewers can watch this run at {where}: panelbridge watch"
        if not is_loopback(host):
            level = Level.CAUTION
            text = (
                f"viewers can watch this run at {where}, with the token that "
                f"'panelbridge watch --list' prints; {UNENCRYPTED}"
            )

        def note(name: str, level: Level, text: str) -> None:
            engine = assembly.engine
            engine.post(lambda now_s: engine.note(Event(now_s, name, level, text)))

        def died() -> None:
            note("publisher_lost", Level.CAUTION, "the publisher has ended: viewers see no more")

        self._publication.attach(partial(self._obey, assembly), died)
        note("run_published", level, text)

    def _obey(self, assembly: Assembly, order: list[Any]) -> None:
        """Do what a viewer asks for, if it may be asked for."""
        engine, sim_panel = assembly.engine, assembly.sim_panel
        if asks_why(order):
            engine.post(partial(engine.explain, subject=order[1]))
        elif not self._hands:
            return
        elif order == ["fly_again"] and assembly.is_demo:
            if engine.snapshot().finished:
                engine.post(engine.fly_again)
        elif sim_panel is not None and is_move(order, self._switches):
            _, name, position = order
            engine.post(partial(sim_panel.move, switch=name, position=position))


def is_move(order: list[Any], switches: Sequence[SwitchControl]) -> bool:
    """Whether an order moves a switch of the panel to one of its positions."""
    match order:
        case ["move", str(name), str() | float() | int() as position]:
            control = next((one for one in switches if one.name == name), None)
            if control is None or isinstance(position, bool):
                return False
            if control.form == "lever":
                return not isinstance(position, str) and 0.0 <= position <= 1.0
            return position in control.positions
        case _:
            return False
