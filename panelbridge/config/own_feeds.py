"""Feeds of one's own: other packages offer them by an entry point, with the model of their file."""

from __future__ import annotations

from importlib.metadata import EntryPoint, entry_points
from typing import Any

from panelbridge.config.feed_base import FeedBase
from panelbridge.config.feed_file import FeedFile
from panelbridge.config.model_walk import target_of
from panelbridge.config.words import choices_hint, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigProblem

GROUP = "panelbridge.feeds"
"""Group of the entry points. The name of each is the word behind ``source:`` in a feed file."""


def feed_model(source: YamlSource) -> Any | ConfigProblem:
    """The model of a feed file: ours, or that of the package whose feed it names.

    Only the package that is named is imported.
    """
    word = source.get(("source",))
    if not isinstance(word, str) or word in target_of(FeedFile).choices:
        return FeedFile
    offered = list(entry_points(group=GROUP))
    if not offered:
        return FeedFile
    named = [one for one in offered if one.name == word]
    if not named:
        names = [*target_of(FeedFile).choices, *sorted({one.name for one in offered})]
        what = f"'source' cannot be {quoted(word)}"
        return source.at_value(("source",), what, choices_hint(word, names))
    found = _load(named)
    return source.at_value(("source",), found) if isinstance(found, str) else found


def _load(named: list[EntryPoint]) -> type[FeedBase] | str:
    """What an entry point stands for; a text that says what is wrong with it."""
    feed = f"the feed {quoted(named[0].name)} of the package {listed(map(_package, named), 'and')}"
    if len(named) > 1:
        return f"{feed} is offered more than once: uninstall all but one"
    try:
        model: Any = named[0].load()
    except Exception as error:  # noqa: BLE001 - code of others
        return f"{feed} cannot be loaded: {type(error).__name__}: {error}"
    if isinstance(model, type) and issubclass(model, FeedBase) and hasattr(model, "make_feed"):
        return model
    return f"{feed} cannot be used: {named[0].value} is no OwnFeedFile"


def _package(entry: EntryPoint) -> str:
    return quoted(entry.dist.name if entry.dist is not None else "?")
