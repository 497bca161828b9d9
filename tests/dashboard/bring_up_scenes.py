"""A bring-up of a simulated panel in virtual time, for the tests of its screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from panelbridge.clock import VirtualClock
from panelbridge.dashboard.bring_up.bring_up_app import BringUpApp
from panelbridge.wiring.bring_up.bring_up_run import BringUpRun
from tests.wiring.bring_up.robot import bring_up, copy_of, turn, turn_until

FAULTS = ["exchanged=lamp_test/warning_test", "dead=left_red", "inverted=speed_amber"]


class BringUpScene:
    """A bring-up with its screen, which is turned by hand."""

    def __init__(self, run: BringUpRun, clock: VirtualClock) -> None:
        self.run = run
        self.clock = clock
        self.app = BringUpApp(run, turn_s=0)

    def kind(self) -> str:
        return self.run.flow.prompt.ask.kind

    def to(self, kind: str, name: str = "", *, by_itself: bool = True) -> None:
        turn_until(self.run, self.clock, kind, name, by_itself=by_itself)

    def wait(self, seconds: float) -> None:
        turn(self.run, self.clock, seconds)


@contextmanager
def scene(
    folder: Path, panel: str = "two_boards.yaml", faults: Sequence[str] = FAULTS
) -> Iterator[BringUpScene]:
    with ExitStack() as stack:
        path = copy_of(panel, folder)
        run, clock = stack.enter_context(bring_up(path, faults=faults))
        yield BringUpScene(run, clock)
