"""A viewer's link to its run, as the commands ``watch`` and ``web`` use it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from panelbridge.cli.publishing import own_token
from panelbridge.cli.viewed_content import VIEWED, ViewedContent
from panelbridge.clock import LiveClock
from panelbridge.engine.snapshot import Snapshot
from panelbridge.errors import MessageError, UsageError
from panelbridge.watch.find_run import find_run, living_runs
from panelbridge.watch.publisher import ASK_WHY
from panelbridge.watch.run_files import runs_folder
from panelbridge.watch.viewer_link import ViewerLink, Welcome


def link_to(address: str | None) -> ViewerLink:
    """A connection to a run, which is looked for again each time that it is lost."""
    token = own_token()
    return ViewerLink(lambda: find_run(address, living_runs(runs_folder()), token), LiveClock())


def read_content(welcome: Welcome) -> ViewedContent:
    """What the screen shows besides snapshots. Raises: UsageError, when it is not understood."""
    try:
        content = VIEWED.read(welcome.content)
        _ = content.content
    except MessageError as error:
        hint = "use the same version of panelbridge on both sides"
        raise UsageError(error.what, hint=hint) from error
    return content


class LinkSource:
    """Snapshots of a run for a screen. Args: link: to it; hands: viewers may move switches."""

    def __init__(self, link: ViewerLink, *, hands: bool) -> None:
        self._link = link
        self._hands = hands

    def snapshot(self) -> Snapshot:
        """The newest snapshot."""
        return self._link.snapshot()

    def take_past(self) -> list[Snapshot]:
        """The minute before the connection began."""
        return self._link.take_past()

    def explain(self, subject: str) -> None:
        """Ask the run to explain a subject in its next snapshots."""
        self._link.ask(ASK_WHY, subject)

    def state(self) -> tuple[bool, str, bool]:
        """Whether it is live, the words, and whether another run has taken its place."""
        status = self._link.status()
        rights = "you can move its switches" if self._hands else "read only"
        text = f"{status.text}, {rights}" if status.is_live else status.text
        return status.is_live, text, self._link.has_other_run


class LinkControls:
    """Moves the switches of a run that allows it. Args: link: to it; flies_again: it can."""

    def __init__(self, link: ViewerLink, *, flies_again: bool) -> None:
        self._link = link
        self.fly_again: Callable[[], None] | None = (
            partial(link.ask, "fly_again") if flies_again else None
        )

    def position(self, name: str) -> str | float:
        """The switch's position in the newest snapshot."""
        return self._link.snapshot().positions.get(name, "")

    def move(self, name: str, position: str | float) -> None:
        """Ask the run to move the switch."""
        self._link.ask("move", name, position)
