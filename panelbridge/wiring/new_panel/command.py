"""What ``new`` of the command line does: a few questions, the files, and what comes next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.config.words import choices_hint, listed, quoted
from panelbridge.errors import UsageError
from panelbridge.printing import ask, say, shown_path
from panelbridge.wiring.new_panel.aircraft_kinds import AIRCRAFT, BOARDS_TO_CHOOSE, KindToChoose
from panelbridge.wiring.new_panel.new_files import PANEL, make_panel, put_files, refuse_existing
from panelbridge.wiring.new_panel.panel_parts import EXTRAS, extras_of

Kind = TypeVar("Kind", bound=str)
_NONE = "none"


def new_command(
    folder: Path, aircraft: str | None, board: str | None, extras: str | None = None
) -> int:
    """Make a first panel in ``folder``; what is not given is asked for.

    Args:
        folder: where its files will stand.
        aircraft: kind of aircraft; None to ask.
        board: kind of board; None to ask.
        extras: names with commas between, or none; None for as much as fits, or to ask.

    Returns:
        The exit code.

    Raises:
        UsageError: a kind is not known, there is no terminal to ask on, or files are there already.
    """
    refuse_existing(folder)
    asks = aircraft is None or board is None
    kind = _chosen("aircraft", AIRCRAFT, aircraft)
    hardware = _chosen("board", BOARDS_TO_CHOOSE, board)
    chosen = _extras(kind, extras, asks=asks)
    panel = make_panel(kind, hardware, chosen)
    put_files(folder, panel.files)
    path = shown_path(folder / PANEL)
    names = [*dict.fromkeys(name.partition("/")[0] for name in panel.files)]
    say(
        f"A panel for the aircraft {quoted(AIRCRAFT[kind].title)} on one "
        f"{BOARDS_TO_CHOOSE[hardware].title}."
    )
    say(f"Written into {folder}: {listed(names, 'and')}")
    if panel.missing:
        say(f"Left out, because the board has no room: {listed(panel.missing, 'and')}")
    say("")
    say("Next:")
    for command, about in (
        (f"check {path}", "every error, with its line"),
        (f"run {path} --simulate", "try it before you solder; q quits"),
        (f"plan {path}", "a pin for each name that you add to the file"),
        (f"wiring {path}", "which wire goes where, and which resistor"),
        (f"bring-up {path} --port PORT", "once it is wired: proves every switch and lamp"),
    ):
        say(f"  panelbridge {command}")
        say(f"      {about}")
    return 0


def _chosen(thing: str, kinds: Mapping[Kind, KindToChoose], given: str | None) -> Kind:
    """The kind that is given, or the answer to a question."""
    names = [*kinds]
    if given is None:
        say(f"Which {thing}?")
        for number, (name, kind) in enumerate(kinds.items(), 1):
            say(f"  {number}  {name:<22} {kind.about}")
        given = ask(f"Number or name [{names[0]}]:")
        if given is None:
            hint = f"Give --aircraft and --board. --{thing} can be {listed(names)}"
            raise UsageError("there is no terminal to ask on", "", hint)
        given = given or names[0]
    if given.isdigit() and 1 <= int(given) <= len(names):
        return names[int(given) - 1]
    for name in names:
        if name == given:
            return name
    what = f"there is no kind of {thing} {quoted(given)}"
    raise UsageError(what, f"--{thing}", choices_hint(given, names))


def _extras(aircraft: str, given: str | None, *, asks: bool) -> Sequence[str] | None:
    """The extras that are given, or the answer to a question; None for as much as fits."""
    names = [*extras_of(load_aircraft(shipped_config(f"aircraft/{aircraft}.yaml")))]
    if given is None and asks:
        say("Besides handle, greens and horn the panel can have:")
        for number, name in enumerate(names, 1):
            say(f"  {number:>2}  {name:<22} {EXTRAS[name].title}")
        given = ask("Numbers or names with commas between, or none [as much as the board takes]:")
    if not given:
        return None
    if given == _NONE:
        return ()
    found: dict[str, None] = {}
    for text in (part.strip() for part in given.split(",")):
        name = names[int(text) - 1] if text.isdigit() and 1 <= int(text) <= len(names) else text
        if name not in names:
            what = f"a {aircraft} has no extra {quoted(name)}"
            raise UsageError(what, "--extras", choices_hint(name, names))
        found[name] = None
    return [name for name in names if name in found]
