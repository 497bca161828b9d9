"""Link, horn and data as banners: each in a place of its own, normal or not."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.blocks.banner import Banner, BannerLook
from panelbridge.dashboard.blocks.header import live_boards
from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.board_states import is_starting, lost_boards
from panelbridge.dashboard.text.state_words import cause_in_short
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import BoardHealth, LinkState
from panelbridge.signals import HornPattern, Outputs


def link_banner(boards: Sequence[BoardHealth]) -> Banner:
    """The worst of all boards in a word, their names and round trips below it."""
    lost = lost_boards(boards)
    if (not lost and any(is_starting(board) for board in boards)) or not boards:
        names = ", ".join(board.name for board in boards if is_starting(board))
        return Banner(("STARTING", "WAIT"), (names or "no board yet",), BannerLook.CAUTION_WORD)
    if poor := [board for board in boards if board.poor and not lost]:
        worst = max(poor, key=lambda board: board.damaged_fraction)
        share = f"{worst.damaged_fraction:.0%} damaged" if worst.damaged_fraction else worst.poor
        small = (f"{worst.name}: {worst.poor}", f"{worst.name}: {share}", share)
        return Banner(("LINK POOR", "POOR"), small, BannerLook.CAUTION)
    if not lost:
        trips = ", ".join(f"{board.name}{_trip(board)}" for board in boards)
        count = f"{len(boards)} boards live" if len(boards) > 1 else f"live{_trip(boards[0])}"
        return Banner(("LINK LIVE", "LIVE"), (trips, count))
    refused = [board for board in lost if board.state is LinkState.REFUSED]
    names = ", ".join(board.name for board in lost)
    of = f"{len(lost)} of {len(boards)}: {names}" if len(boards) > 1 else names
    if len(refused) == len(lost):
        return Banner(("LINK REFUSED", "REFUSED", "NO"), (of,), BannerLook.NOT_VALID)
    return Banner(("LINK LOST", "LOST"), (of, names), BannerLook.NOT_VALID)


def _trip(board: BoardHealth) -> str:
    return "" if board.round_trip_ms is None else f" {board.round_trip_ms:.1f} ms"


def horn_banner(snapshot: Snapshot, horn_board: str | None, silence_key: str = "") -> Banner:
    """The horn and its cause; a lost board first, for then the horn cannot be heard.

    Args:
        snapshot: to show.
        horn_board: name of the horn's board; empty: unknown; None: the panel has no horn.
        silence_key: of the button that silences it; empty for a real panel.
    """
    logic, pattern = snapshot.logic, snapshot.outputs.horn
    lost = {board.name: board for board in lost_boards(snapshot.boards)}
    causes = logic.horn_causes or logic.warning_causes
    text = "; ".join(causes)
    short = cause_in_short(causes[0]) if causes else ()
    if len(causes) > 1:  # the small line may be cut behind the first of them
        text = f"{len(causes)} causes: {text}"
        short = (*(f"{one} +{len(causes) - 1}" for one in short), *short)
    sounds = pattern is not HornPattern.SILENT
    if lost and (not sounds or horn_board in lost):
        return _lost(list(lost.values()), horn_board, text if sounds else "")
    if horn_board is None:
        small = f"no horn fitted; commanded {pattern}: {text}" if sounds else "no horn fitted"
        look = BannerLook.CAUTION_WORD if sounds else BannerLook.NORMAL
        return Banner(("NO HORN",), (small,), look)
    if not sounds:
        if not causes:
            return Banner(("HORN OFF",), ("silent",))
        why = "silenced" if logic.horn_silenced else "held back"
        words = tuple(f"HORN {why} {one}".upper() for one in short)
        look = BannerLook.WARNING_WORD if logic.horn_silenced else BannerLook.CAUTION_WORD
        return Banner((*words, f"HORN {why}".upper(), "HORN OFF"), (f"{why}: {text}",), look)
    known = not horn_board or horn_board in live_boards(snapshot)
    words = tuple(f"HORN {one}" for one in short)
    key = f"silence: {silence_key} " if silence_key and logic.warning_causes else ""
    small = f"{pattern}: {text}" if text else str(pattern)
    if not known:
        return Banner(("HORN ?",), (f"no link yet; commanded {small}",), BannerLook.NOT_VALID)
    return Banner((*words, "HORN"), (small, text or small), BannerLook.WARNING, key)


def _lost(lost: Sequence[BoardHealth], horn_board: str | None, commanded: str) -> Banner:
    names = ", ".join(board.name for board in lost)
    why = "; ".join(
        " ".join(f"{board.name}: {board.message}".split()) for board in lost if board.message
    )
    what = "BOARD LOST" if len(lost) == 1 else f"{len(lost)} BOARDS LOST"
    words: tuple[str, ...] = (what,)
    if any(board.name == horn_board for board in lost):
        words = (f"{what} NO HORN", "NO LINK NO HORN", "HORN LOST", "NO HORN")
    horn = f"the horn would sound: {commanded}; " if commanded else ""
    return Banner(words, (f"{horn}{why or names}",), BannerLook.NOT_VALID)


def data_banner(snapshot: Snapshot, lamps: LampLayout) -> Banner:
    """The simulator's data; when they are fresh, what is lit or broken beside the legs.

    A run whose time stands still has no data: that comes first.
    """
    if snapshot.show.is_paused:
        small = ("the time of the run stands still", "time stands still")
        return Banner(("PAUSED",), small, BannerLook.CAUTION)
    if not snapshot.feed_fresh:
        if not snapshot.feed_name:
            return Banner(("NO DATA",), ("no feed yet",), BannerLook.PLAIN)
        small = (f"no fresh data from {snapshot.feed_name}", "no fresh data")
        return Banner(("DATA LOST", "NO DATA", "DATA ?"), small, BannerLook.NOT_VALID)
    warnings = _lit(lamps, snapshot.outputs, "red")
    cautions = _lit(lamps, snapshot.outputs, "amber")
    faults = list(snapshot.logic.faults)
    for word, found, look in (
        ("WARNING", warnings, BannerLook.WARNING_WORD),
        ("FAULT", faults, BannerLook.CAUTION_WORD),
        ("CAUTION", cautions, BannerLook.CAUTION_WORD),
    ):
        if found:
            plural = "" if len(found) == 1 else "S"
            short = _SHORT[word]
            words = (f"{len(found)} {word}{plural}", f"{len(found)} {short}", short)
            return Banner(words, (", ".join(found),), look)
    return Banner(("DATA OK", "DATA"), (snapshot.feed_name or "fresh", "fresh"))


_SHORT = {"WARNING": "WARN", "FAULT": "FLT", "CAUTION": "CAUT"}


def _lit(lamps: LampLayout, outputs: Outputs, colour: str) -> list[str]:
    """Legends of the lit lamps of a colour; those of legs and handle are in the verdict."""
    return [
        lamps.label(look)
        for look in lamps.others
        if look.colour == colour and look.name != HANDLE_LAMP and lamps.is_lit(look, outputs)
    ]


HANDLE_LAMP = "handle_red"
"""The light in the knob of the gear handle."""
