"""The line on every page of a show: paused, its rate, where it flies to, what is broken."""

from __future__ import annotations

from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, row
from panelbridge.engine.show_state import ShowState


def rate_text(rate: float) -> str:
    """``0.25x``."""
    return f"{rate:g}x"


def needs_line(state: ShowState) -> bool:
    """Whether there is anything to say: a plain run at its own rate has no line."""
    return bool(state.is_paused or state.jumping_to or state.broken or state.rate != 1.0)


def draw_show_line(state: ShowState, width: int) -> Line:
    """What is not as in a plain run; filled where it could be taken for a fault."""
    spans: list[TextSpan] = []
    if state.is_paused:
        spans.append(TextSpan(" ! PAUSED ", TextStyle.LIT_AMBER))
    if state.jumping_to:
        spans.append(TextSpan(f" > FLYING TO {state.jumping_to.upper()} ", TextStyle.LIT_BLUE))
    elif state.rate != 1.0:
        spans.append(TextSpan(f" RATE {rate_text(state.rate)} ", TextStyle.LIT_BLUE))
    if state.broken:
        count = len(state.broken)
        spans.append(TextSpan(f" ! {count} BROKEN ", TextStyle.LIT_AMBER))
        spans.append(TextSpan(" " + ", ".join(state.broken), TextStyle.CAUTION))
    return row(spans, width)
