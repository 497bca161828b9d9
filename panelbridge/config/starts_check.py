"""Do the starts of an aircraft file name values that it has, and other starts that are there?"""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.value_names import check_values
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters


def check_starts(
    source: YamlSource, aircraft: AircraftParameters | None
) -> Iterator[ConfigProblem]:
    """Errors of all starts; without ``aircraft``, which has errors, values of any may stand."""
    starts = source.keys(("starts",))
    for name in starts:
        yield from check_values(source, ("starts", name), aircraft, ("like",))
        path = ("starts", name, "like")
        like = source.get(path)
        if isinstance(like, str) and like not in starts:
            hint = did_you_mean(like, starts) or f"The starts are {listed(starts, 'and')}"
            yield source.at_value(path, f"there is no start {quoted(like)}", hint)
        chain = [name]
        while isinstance(like, str) and like not in chain:
            chain.append(like)
            like = source.get(("starts", like, "like"))
        if like == name and name == min(chain, key=starts.index):
            what = "this start is like itself"
            if len(chain) > 1:
                what = f"these starts are like each other: {listed(chain, 'and')}"
            yield source.at_value(path, what, "Write the values of one of them without 'like:'")
