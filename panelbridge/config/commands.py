"""What ``check`` and ``schema`` of the command line do."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from msgspec import Struct

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.feed_file import DemoFlightFeed, FixedFeedFile, FlightModelFile
from panelbridge.config.file_patterns import each_yaml_file
from panelbridge.config.key_reference import reference_text
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.load import LoadedPanel, check_file, kind_of
from panelbridge.config.loading import KINDS, AnyFile
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.schemas import schema_text
from panelbridge.config.words import counted, did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigError, ConfigProblem, UsageError, problem_lines
from panelbridge.printing import say

OK = 0
ERRORS = 2


class OtherKind(Struct, frozen=True):
    """A kind of file that is read by a room above this one.

    Attributes:
        check: gives the line for a good file; raises ConfigError with the problems of a bad one.
        schema_text: the text of its JSON Schema.
    """

    check: Callable[[Path], str]
    schema_text: Callable[[], str]


PanelCheck = Callable[[PanelFile, YamlSource], Iterable[ConfigProblem]]
"""A check of panel files by a room above this one; it sees the file in its long form."""
NO_OTHERS: Mapping[str, OtherKind] = MappingProxyType({})


def check(
    paths: Sequence[Path | str],
    others: Mapping[str, OtherKind] = NO_OTHERS,
    feed: Path | None = None,
    of_panels: PanelCheck | None = None,
) -> int:
    """Check files of any kind; a line for each good one, every problem of the others.

    A problem in a file that several of ``paths`` name is shown once. A good file can have warnings,
    which change nothing else.

    Args:
        paths: files, patterns of them, or folders that hold them.
        others: kinds of files that are read by rooms above this one.
        feed: a feed file in place of those that the panels name.
        of_panels: a check of good panel files by a room above this one.

    Returns:
        0 when all are good, 2 when there is any problem.

    Raises:
        UsageError: nothing fits a pattern, or a folder holds no YAML file.
    """
    problems: dict[ConfigProblem, None] = {}
    for path in [*each_yaml_file(paths)]:
        try:
            line, warnings = _checked(path, others, feed, of_panels)
            say(f"{path}: {line}")
            problems.update(dict.fromkeys(warnings))
        except ConfigError as error:
            problems.update(dict.fromkeys(error.problems))
    if problems:
        say(problem_lines(problems), sys.stderr)
    errors = sum(not problem.is_warning for problem in problems)
    if errors:
        say(counted(errors, "error"), sys.stderr)
    return ERRORS if errors else OK


def _checked(
    path: Path,
    others: Mapping[str, OtherKind],
    feed: Path | None,
    of_panels: PanelCheck | None,
) -> tuple[str, tuple[ConfigProblem, ...]]:
    other = others.get(kind_of(path)) if others else None
    if other is not None:
        return other.check(path), ()
    found = check_file(path, others, feed)
    warnings = found.warnings
    if of_panels is not None and isinstance(found.file, LoadedPanel):
        warnings += tuple(of_panels(found.file.panel, found.source))
    if not all(problem.is_warning for problem in warnings):
        raise ConfigError(warnings)
    return summary(found.file), warnings


def schema(
    kind: str, others: Mapping[str, OtherKind] = NO_OTHERS, *, reference: bool = False
) -> int:
    """Print the JSON Schema of the files of ``kind``, or the readable reference of its keys.

    Raises:
        UsageError: there is no such kind.
    """
    if kind not in (*KINDS, *others):
        kinds = [*KINDS, *others]
        choices = f"Kinds: {listed(kinds, 'and')}"
        close = did_you_mean(kind, kinds)
        hint = f"{close} {choices}" if close else choices
        raise UsageError(f"there is no kind of file {quoted(kind)}", hint=hint)
    text = others[kind].schema_text() if kind in others else schema_text(kind)
    return int(not say(reference_text(kind, json.loads(text)) if reference else text, end=""))


def summary(loaded: LoadedPanel | AnyFile) -> str:
    """One line that says what a good file is."""
    if isinstance(loaded, LoadedPanel):
        return _panel_summary(loaded)
    if isinstance(loaded, AircraftFile):
        legs, engines = counted(len(loaded.legs), "leg"), counted(loaded.engines, "engine")
        return f"good aircraft file {quoted(loaded.name)}: {engines}, {legs}"
    about = "a feed of your own"
    if isinstance(loaded, LinkFeedFile):
        parts = [counted(len(loaded.values), "value")] if loaded.receive is not None else []
        parts += [counted(len(loaded.targets), "target")] if loaded.targets else []
        about = f"a link with {listed(parts, 'and')}"
    elif isinstance(loaded, DemoFlightFeed):
        about = "the demonstration flight"
    elif isinstance(loaded, FixedFeedFile):
        about = counted(len(loaded.values.model_fields_set), "fixed value")
    elif isinstance(loaded, FlightModelFile):
        about = f"the flight model {quoted(loaded.model)}"
    return f"good feed file {quoted(loaded.name)}: {about}"


def _panel_summary(loaded: LoadedPanel) -> str:
    panel = loaded.panel
    gauges = sum(entry is not None for _, entry in panel.gauges)
    parts = [
        counted(len(panel.boards), "board"),
        counted(len(panel.wired_switches), "switch", "switches"),
        counted(len(panel.lamps), "lamp"),
        *(["a horn"] if panel.horn is not None else []),
        *([counted(gauges, "gauge")] if gauges else []),
    ]
    feed = f"feed {quoted(loaded.feed.name)}" if loaded.feed is not None else "no feed"
    aircraft = f"aircraft {quoted(loaded.aircraft.name)}"
    return f"good panel file {quoted(panel.name)}: {listed(parts, 'and')}; {aircraft}, {feed}"
