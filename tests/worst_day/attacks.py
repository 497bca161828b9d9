"""All attacks, and which cases are not survived yet."""

from __future__ import annotations

from tests.worst_day.attack import Attack
from tests.worst_day.bombs import BOMBS
from tests.worst_day.damaged import DAMAGED, UNPLUGS
from tests.worst_day.escapes import ESCAPES
from tests.worst_day.hostile import HOSTILE
from tests.worst_day.hostile_pty import HOSTILE_PTY
from tests.worst_day.kills import kill_boards, sleeping_host, stop_boards
from tests.worst_day.polls import POLLS
from tests.worst_day.sinks import CLOSED, DISK, STALLED
from tests.worst_day.terminals import TERMINALS

ATTACKS = (
    Attack("kills", "board killed at a random moment", {"kill": kill_boards}, 5, 60),
    Attack("stops", "board stopped for a while", {"stop": stop_boards}, 4, 20),
    Attack("sleep", "host asleep, handle moved", {"sleep": sleeping_host}, 1, 5),
    Attack("disk", "full disk", DISK, 1, 3),
    Attack("stalled", "output that nobody takes", STALLED, 1, 3),
    Attack("closed", "output that was closed", CLOSED, 1, 1),
    Attack("terminals", "a terminal that is gone, or another's", TERMINALS, 1, 3),
    Attack("hostile", "hostile board", HOSTILE | HOSTILE_PTY, 1, 10),
    Attack("damaged", "damaged frame", DAMAGED, 6_000, 1_000_000),
    Attack("unplugs", "cable unplugged", UNPLUGS, 100, 1_000),
    Attack("escapes", "escapes in names", ESCAPES, 1, 1),
    Attack("bombs", "bomb in a file", BOMBS, 1, 1),
    Attack("polls", "made-up message", POLLS, 20_000, 1_000_000),
)

_LINK = "until branch link is merged: "
_OUT = "until branch out is merged: "
_FILES = "until branch files is merged: "
_NOBODY = "nobody mends it yet: "


def _all(attack: str, reason: str, *names: str) -> dict[tuple[str, str], str]:
    return {(attack, name): reason for name in names}


_PRINTS = ("check", "bench", "names", "schema")
NOT_YET: dict[tuple[str, str], str] = {
    **_all("sleep", _LINK + "a host that wakes up commands the gear at once", "sleep"),
    **_all(
        "disk",
        _OUT + "a full disk ends the flight, or a command, with a traceback",
        *("run", *(f"{command} prints" for command in _PRINTS)),
    ),
    **_all("stalled", _OUT + "printing stops the panel", *STALLED),
    **_all(
        "closed",
        _OUT + "a closed output ends the flight, or gives the wrong exit code",
        *("run, closed pipe", "run, closed pipe, stderr too", "run, closed window"),
        *("simboard, closed pipe", "bench, no output at all"),
        *(f"{command}, closed pipe, stderr too" for command in (*_PRINTS, "ports")),
    ),
    **_all("terminals", _LINK + "a stranger's terminal is opened and written to", "stranger"),
    **_all("terminals", _LINK + "SIGHUP ends it uncleanly", "simboard, SIGHUP", "run, SIGHUP"),
    **_all(
        "terminals",
        _FILES + "a screen that loses its terminal, or has none, does not end cleanly",
        *("screen, closed window", "screen, SIGHUP", "screen without a terminal"),
    ),
    **_all(
        "hostile",
        _NOBODY + "a board that resets for ever makes 40 events a second",
        "resets for ever",
    ),
    **_all(
        "escapes",
        _OUT + "control characters of names reach the terminal",
        *("run", "run on a board", "run on no port", "check of a bad file"),
        *("bench", "names", "reports"),
    ),
    **_all("bombs", _FILES + "check opens a FIFO", "FIFO"),
}
"""Cases that are expected to be lost, by attack and case, with the reason."""
