"""All attacks."""

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
    Attack("kills", "board killed at a random moment", {"kill": kill_boards}, 3, 60),
    Attack("stops", "board stopped for a while", {"stop": stop_boards}, 2, 20),
    Attack("sleep", "host asleep, handle moved", {"sleep": sleeping_host}, 1, 5),
    Attack("disk", "full disk", DISK, 1, 3),
    Attack("stalled", "output that nobody takes", STALLED, 1, 3),
    Attack("closed", "output that was closed", CLOSED, 1, 1),
    Attack("terminals", "a terminal that is gone, or another's", TERMINALS, 1, 3),
    Attack("hostile", "hostile board", HOSTILE | HOSTILE_PTY, 1, 10),
    Attack("damaged", "damaged frame", DAMAGED, 3_000, 1_000_000),
    Attack("unplugs", "cable unplugged", UNPLUGS, 100, 1_000),
    Attack("escapes", "escapes in names", ESCAPES, 1, 1),
    Attack("bombs", "bomb in a file", BOMBS, 1, 1),
    Attack("polls", "made-up message", POLLS, 10_000, 1_000_000),
)
