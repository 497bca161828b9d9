"""What a viewer's screen shows besides snapshots: it travels once, to each new viewer."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.config.load import LoadedPanel
from panelbridge.dashboard.interfaces import SwitchControl
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.watch.codec import JsonCodec

_CONTENTS = JsonCodec(ScreenContent, left_out=("snapshot", "switches", "samples", "firsts"))


class ViewedContent(Struct, frozen=True):
    """What a viewer's screen is made from.

    Attributes:
        screen: what `ScreenContent` says, as JSON.
        switches: of the panel, in display order.
        flies_again: the run has a flight that can be flown again.
    """

    screen: str
    switches: tuple[SwitchControl, ...]
    flies_again: bool

    @property
    def content(self) -> ScreenContent:
        """For the screen. Raises: MessageError, when it is of another version."""
        return _CONTENTS.read(self.screen.encode())


VIEWED = JsonCodec(ViewedContent)


def viewed_content(loaded: LoadedPanel, *, flies_again: bool) -> ViewedContent:
    """What viewers of a panel need."""
    from panelbridge.cli.screen import content_of, fitted_switches

    screen = _CONTENTS.write(content_of(loaded)).decode()
    return ViewedContent(screen, fitted_switches(loaded), flies_again)
