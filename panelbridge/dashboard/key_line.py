"""The last line of the screen: which keys the screen has."""

from __future__ import annotations

from panelbridge.dashboard.pieces import Line, Look, Piece, Target, row


def draw_key_line(
    width: int, *, large_log: bool, finished: bool, can_fly_again: bool, simulated: bool
) -> Line:
    """The keys of the screen; the switches' keys stand beside the switches.

    Args:
        width: of the line.
        large_log: the log is enlarged.
        finished: the run has ended.
        can_fly_again: the run can begin anew.
        simulated: the switches can be moved from the screen.
    """
    words = [("q", "quit"), ("?", "help"), ("l", "board" if large_log else "log")]
    if can_fly_again and finished:
        words.insert(0, ("f", "fly again"))
    line: list[Piece] = []
    for key, does in words:
        line += [
            Piece(" "),
            Piece(f" {key} ", Look.KEY, Target(key)),
            Piece(does, Look.STRONG if key == "f" else Look.TEXT, Target(key)),
        ]
    if simulated and width >= 70:
        line.append(Piece("    capital letter: hold a button, let it go", Look.QUIET))
    return row(line, width)
