"""Why a failure was as it was: what decided first, the rest folded, what is alike stands once."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.bench.verdict.failure import Cause, Failure
from panelbridge.config.words import listed
from panelbridge.signals import Reason

MOST_SIGNALS = 6
"""So many signals, or groups of them, are explained; the others are counted."""
MOST_LOOKED_AT = 5
"""Of a value that has no other cause so many signals behind it are named."""
_HOLDS = {True: "holds", False: "does not hold"}


class Because(Struct, frozen=True):
    """Why one signal, or several alike, are as they are.

    Attributes:
        signals: their names.
        head: what is said beside the names; empty for an output.
        lines: label and words, what decided first.
        folded: how many more there are, in words; empty when nothing is folded.
    """

    signals: tuple[str, ...]
    head: str
    lines: tuple[tuple[str, str], ...]
    folded: str = ""

    @property
    def title(self) -> str:
        """The names, and what is said beside them."""
        names = listed(self.signals, "and")
        alike = " alike" if len(self.signals) > 1 else ""
        return f"{names}{alike}: {self.head}" if self.head else f"{names}{alike}:"


def explanations(failure: Failure, *, folded: bool) -> Iterator[Because]:
    """Why the signals of a failure are as they are; what is alike stands once.

    Args:
        failure: the failure.
        folded: leave out what did not decide, and count it.
    """
    every = [_of_output(name, reasons, folded=folded) for name, reasons in failure.reasons.items()]
    every += [_of_value(name, cause, folded=folded) for name, cause in failure.causes.items()]
    groups: list[tuple[set[tuple[object, ...]], Because]] = []
    for one in every:
        keys = {*_keys(one)}
        for place, (of_group, before) in enumerate(groups):
            if keys & of_group:
                together = replace(before, signals=(*before.signals, *one.signals))
                groups[place] = keys & of_group, together
                break
        else:
            groups.append((keys, one))
    shown = [one for _, one in groups]
    yield from shown[:MOST_SIGNALS] if folded else shown


def _keys(one: Because) -> Iterator[tuple[object, ...]]:
    """What it is alike to: the same text about another leg, wheel or side."""
    parts = one.signals[0].split("_")
    for length in range(1, len(parts)):
        about = "_".join(parts[:length])
        names = rf"(?<![a-z]){about.replace('_', '[_ ]')}(?![a-z])"
        lines = tuple((label, re.sub(names, "*", words)) for label, words in one.lines)
        yield ("_".join(parts[length:]), one.head, lines, one.folded)


def _of_output(name: str, reasons: Sequence[Reason], *, folded: bool) -> Because:
    if not reasons:
        return Because((name,), "no rule says why", ())
    first = [reason for reason in reasons if reason.decides]
    others = [reason for reason in reasons if not reason.decides]
    folded = folded and len(others) > 1
    shown = first if folded else [*first, *others]
    lines = tuple((_HOLDS[one.holds], _reason_words(one)) for one in shown)
    more = f"and {len(others)} more that did not decide" if folded else ""
    return Because((name,), "", lines, more)


def _reason_words(reason: Reason) -> str:
    return f"{reason.condition} - {reason.detail}" if reason.detail else reason.condition


def _of_value(name: str, cause: Cause, *, folded: bool) -> Because:
    head = f"{cause.value}, {'on its way' if cause.is_moving else 'since the start'}"
    if cause.since_s is not None:
        head = f"{cause.value}, since {cause.since_s:.3f} s; before: {cause.before}"
    lines = [("with", words) for words in cause.changed]
    if cause.spot is not None:
        lines.insert(0, ("set by", f"the step at {cause.spot}"))
    if not (folded and lines):
        lines += [("then", words) for words in cause.events]
    count = len(cause.others)
    shown = 0 if lines else MOST_LOOKED_AT
    if not folded or count <= shown + 1:  # a line that counts one is no shorter than that one
        shown = count
    lines += [("looks at", words) for words in cause.others[:shown]]
    more = f"and {count - shown} more that it looks at" if count > shown else ""
    return Because((name,), head, tuple(lines), more)
