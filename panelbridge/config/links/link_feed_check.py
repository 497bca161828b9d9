"""Everything in a link's feed file that its models alone cannot see."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from panelbridge.config.links.link_check import (
    LinkAdvice,
    reach_warnings,
    receiving_misfits,
    sending_misfits,
)
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.links.targets_check import check_link_targets
from panelbridge.config.links.transports import MqttLink
from panelbridge.config.links.values_check import check_link_values
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters


def check_link(source: YamlSource, aircraft: AircraftParameters | None) -> list[ConfigProblem]:
    """Values and targets, also of a file whose model has errors."""
    return [*check_link_values(source, aircraft), *check_link_targets(source, aircraft)]


def check_link_parts(source: YamlSource, file: LinkFeedFile) -> Iterator[ConfigProblem]:
    """Transports, formats and topics that do not go together; who may reach what it opens."""
    if file.receive is not None and file.message is not None:
        advice = [*receiving_misfits(file.receive, file.message), *reach_warnings(file.receive)]
        yield from _placed(source, ("receive",), advice)
    for name, target in file.targets.items():
        path: KeyPath = ("targets", name)
        transport, place = target.transport, (*path, "transport")
        if transport is None:
            transport, place = file.receive, ("receive",)
        if transport is None:
            continue
        yield from _placed(source, place, sending_misfits(transport))
        if target.transport is not None:
            yield from _placed(source, place, reach_warnings(transport))
        for command, keys in target.commands.items():
            where = (*path, "commands", command)
            if isinstance(transport, MqttLink) and keys.topic is None:
                what = f"{place_name(where)} lacks the key 'topic', needed over mqtt"
                yield source.at_key(where, what, "Add 'topic: ...', to which it is published")
            elif not isinstance(transport, MqttLink) and keys.topic is not None:
                what = f"there are no topics over {transport.over}"
                yield source.at_key((*where, "topic"), what, "Delete the line")
        if isinstance(transport, MqttLink) and target.answer is not None:
            what = "over mqtt there is no answer to a message"
            yield source.at_key((*path, "answer"), what, "Delete the key")
    if file.ask is not None and file.receive is not None:
        yield from _placed(source, ("receive",), sending_misfits(file.receive))


def _placed(
    source: YamlSource, transport: KeyPath, advice: Iterable[LinkAdvice]
) -> Iterator[ConfigProblem]:
    """What was found about a transport or a format, at its place in the file."""
    for one in advice:
        path = transport if one.part == "transport" else ("message",)
        path = (*path, one.key) if one.key else path
        at = source.at_single if source.get(path) is not None else source.at_key
        yield replace(at(path, one.what, one.hint), is_warning=one.is_warning)
