"""Do the supplies of a panel file exist that its parts name? Reads the raw values."""

from __future__ import annotations

import re
from collections.abc import Iterator

from panelbridge.config.advice import NAME_RULE, advice_for_name
from panelbridge.config.electrics.keys import BOARD_SUPPLY
from panelbridge.config.panel_short_forms import wired
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem

_SUPPLIES: KeyPath = ("electrics", "supplies")


def check_supplies(source: YamlSource) -> Iterator[ConfigProblem]:
    """Names of supplies that cannot be, and those that parts name and the file does not have."""
    names = source.keys(_SUPPLIES)
    for name in names:
        if name == BOARD_SUPPLY or not re.fullmatch(NAME_RULE, name):
            what = f"a supply cannot be called {quoted(name)}"
            own = "That word means the board's own 5V or 3V3 pin"
            hint = own if name == BOARD_SUPPLY else advice_for_name(name)
            yield source.at_key((*_SUPPLIES, name), what, hint)
    for path, _ in wired(source):
        named = source.get((*path, "supply"))
        if isinstance(named, str) and named and named not in (BOARD_SUPPLY, *names):
            choices = [*dict.fromkeys([*names, BOARD_SUPPLY])]
            hint = did_you_mean(named, choices) or (
                f"It can be {listed(choices)}; name others under 'electrics: supplies:'"
            )
            what = f"there is no supply {quoted(named)} in this file"
            yield source.at_value((*path, "supply"), what, hint)
