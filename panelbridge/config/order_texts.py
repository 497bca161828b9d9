"""Messages for numbers that are not in order: at the one number that most of them are about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from panelbridge.config.advice import number_text
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.kit.parameters import Key, Order, dotted

_OTHER_UNITS = (("bar", 14.5037738), ("kPa", 0.145037738), ("MPa", 145.037738))
"""Units that may have been written instead of psi (NIST SP 811, appendix B)."""


_LIKELY = 3.0
"""Pressures of one system are rarely further apart than by this factor."""


def order_problems(
    source: YamlSource, path: KeyPath, orders: Sequence[Order]
) -> Iterator[ConfigProblem]:
    """A problem for each number that has to change, as few as there can be.

    Args:
        source: the file.
        path: keys to the group of the numbers.
        orders: what is not in order.
    """
    left = list(orders)
    while left:
        count = Counter([key for one in left for key in (one.low, one.high) if key])
        # A number that the file does not write is not what was mistyped.
        blamed = max(count, key=lambda key: ((*path, *key) in source.positions, count[key]))
        its = [one for one in left if blamed in (one.low, one.high)]
        left = [one for one in left if one not in its]
        yield _problem(source, path, blamed, its)


def _problem(
    source: YamlSource, path: KeyPath, blamed: Key, orders: Sequence[Order]
) -> ConfigProblem:
    where = (*path, *blamed)
    number = next(one.low_number if one.low == blamed else one.high_number for one in orders)
    musts = []
    for above in (True, False):
        others = [
            _other(source, path, one, low=above)
            for one in orders
            if (one.high if above else one.low) == blamed
        ]
        if others:
            word = "above" if above else "below"
            if all(one.or_equal for one in orders if (one.high == blamed) is above):
                word = "at least" if above else "at most"
            musts.append(f"{word} {listed(others, 'and')}")
    is_default = " by default" if where not in source.positions else ""
    what = f"{place_name(where)} is {number_text(number)}{is_default}, and must be "
    return source.at_single(where, what + listed(musts, "and"), _hint(blamed, number, orders))


def _other(source: YamlSource, path: KeyPath, order: Order, *, low: bool) -> str:
    """The other number of an order, and where it stands."""
    key, number = (order.low, order.low_number) if low else (order.high, order.high_number)
    text = number_text(round(number, 3))
    if not key:
        return f"{text} ({order.derived})"
    written = source.positions.get((*path, *key))
    where = f"line {written.line}" if written else "by default"
    return f"{quoted(dotted(key))} ({text}, {where})"


def _hint(blamed: Key, number: float, orders: Sequence[Order]) -> str:
    if dotted(blamed).endswith("_psi"):
        for unit, psi in _OTHER_UNITS:
            if all(_holds_with(one, blamed, number * psi) for one in orders):
                return f"It is in psi: {number_text(number)} {unit} are {number * psi:.0f} psi"
    return "Change it, or what it is compared with"


def _holds_with(order: Order, key: Key, number: float) -> bool:
    low = number if order.low == key else order.low_number
    high = number if order.high == key else order.high_number
    return low < high < _LIKELY * low
