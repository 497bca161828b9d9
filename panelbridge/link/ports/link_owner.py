"""Who made a link to a pseudo-terminal: a file beside the link, held by a lock.

When a simulated board is killed its link stays, and the system gives the terminal's number to the
next program that wants one. The lock goes with the process, however it ends.
"""

from __future__ import annotations

import os
from pathlib import Path

KIND = "panelbridge simboard"
"""What the owner's file begins with."""
BOARD_ENDED = "the simulated board that made this link has ended"


def owner_file(link: Path) -> Path:
    """The file beside a link that its owner holds locked."""
    return link.with_name(f"{link.name}.owner")


def start_again_hint(path: str) -> str:
    """What to do when the owner of a link has ended."""
    return f"start it again: panelbridge simboard --link {path}"


def owner_has_ended(path: str) -> bool:
    """Whether ``path`` is a link whose owner has ended; False for what has no owner at all."""
    if not os.path.islink(path):
        return False
    import fcntl

    try:
        fd = os.open(owner_file(Path(path)), os.O_RDONLY | os.O_NONBLOCK | os.O_NOCTTY)
    except OSError:
        return False
    try:
        fcntl.flock(fd, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except OSError:
        return False
    else:
        return os.read(fd, len(KIND)) == KIND.encode()
    finally:
        os.close(fd)
