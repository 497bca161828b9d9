"""What ``plan`` of the command line does: shows the pins, asks, writes."""

from __future__ import annotations

from pathlib import Path

from panelbridge.config.words import counted, listed, quoted
from panelbridge.errors import UsageError
from panelbridge.printing import ask, say, shown_path
from panelbridge.wiring.pin_plan.plan_file import PinPlan, plan_pins

_YES = ("y", "yes")


def plan_command(path: Path, *, yes: bool = False, dry_run: bool = False) -> int:
    """Propose pins for what has none, and write them if the user agrees.

    Args:
        path: the panel file.
        yes: write without asking.
        dry_run: show only.

    Returns:
        The exit code.

    Raises:
        ConfigError, UsageError: the file has errors, it does not fit, it cannot be written, or
            there is no terminal to ask on.
    """
    plan = plan_pins(path)
    if not plan.edit.is_changed:
        say(f"{path}: everything has its pin already, and nothing was changed")
        return 0
    say(f"{path}: {_summary(plan)}")
    say(plan.edit.diff())
    if dry_run:
        say("Nothing was written.")
        return 0
    if not yes:
        answer = ask(f"Write this into {path.name}? [y/n]")
        if answer is None:
            what = "there is no terminal to ask on, and nothing was written"
            raise UsageError(what, str(path), "--yes writes without asking, --dry-run only shows")
        if answer.lower() not in _YES:
            say("Nothing was written.")
            return 0
    copy = plan.edit.write()
    assert copy is not None
    say(f"Written; the file as it was is {copy.name}")
    say(f"Next: panelbridge check {shown_path(path)}")
    return 0


def _summary(plan: PinPlan) -> str:
    boards = [f"{quoted(name)} ({kind})" for name, kind in plan.boards.items()]
    word = "board" if len(boards) == 1 else "boards"
    chosen = ", the smallest kind that has room" if plan.is_new_board else ""
    return f"{counted(len(plan.pins), 'pin')} on {word} {listed(boards, 'and')}{chosen}"
