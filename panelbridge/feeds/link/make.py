"""A link from its feed file."""

from __future__ import annotations

from collections.abc import Callable

from panelbridge.clock import wall_clock_s
from panelbridge.config.links.formats import BinaryForm, DelimitedForm
from panelbridge.config.links.link_check import reach_warnings
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.links.names_to_send import sendable_of
from panelbridge.config.links.targets import LinkTarget
from panelbridge.config.value_names import ValueNames
from panelbridge.feeds.formats.make import make_format, make_framing
from panelbridge.feeds.link.counts import Counts
from panelbridge.feeds.link.exchange import Exchange
from panelbridge.feeds.link.link_feed import LinkFeed
from panelbridge.feeds.link.outgoing import OutgoingMessage
from panelbridge.feeds.link.receiver import Receiver
from panelbridge.feeds.link.sent_values import SentValues
from panelbridge.feeds.link.target import CommandTarget
from panelbridge.feeds.link.value_table import ValueTable
from panelbridge.feeds.transports.transport import Transport
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.command_values import command_values_of

MakeTransport = Callable[..., Transport]
"""Makes the transport of some keys."""


def make_link(
    file: LinkFeedFile,
    aircraft: AircraftParameters,
    make_transport: MakeTransport,
    *,
    needs_agreement: bool = True,
    wall_clock: Callable[[], float] = wall_clock_s,
) -> LinkFeed:
    """The feed that a file describes.

    Args:
        file: the feed file.
        aircraft: what its values belong to.
        make_transport: makes a transport of its keys.
        needs_agreement: the panel has a gear handle.
        wall_clock: seconds since 1970.
    """
    refused, specs = Counts(), values_of(aircraft)
    values = ValueTable(
        file.values, specs, ValueNames(aircraft).members, file.stale_after_s, refused
    )
    receiver = None
    if file.receive is not None and file.message is not None:
        receiver = Receiver(
            make_transport(file.receive),
            make_framing(file.message, file.receive),
            make_format(file.message, values.fields),
            refused,
            file.ask,
        )
    sendable = sendable_of(aircraft)

    def target_of(name: str, keys: LinkTarget) -> CommandTarget:
        if keys.transport is not None:
            transport = make_transport(keys.transport)
        else:
            assert receiver is not None  # the file's model keeps it
            transport = receiver.transport
        return CommandTarget(
            name,
            transport,
            [
                OutgoingMessage(one, message, sendable, keys.written)
                for one, message in keys.commands.items()
            ],
            needs_data=keys.needs_data,
            exchange=None if keys.answer is None else Exchange(keys.answer),
            retries=0 if keys.answer is None else keys.answer.retries,
            is_own=keys.transport is not None,
            wall_clock=wall_clock,
        )

    targets = [target_of(name, keys) for name, keys in file.targets.items()]
    names = {name for target in targets for message in target.messages for name in message.names}
    return LinkFeed(
        file.name,
        receiver,
        values,
        targets,
        SentValues(names, command_values_of(aircraft), specs, wall_clock),
        refused,
        stale_after_s=file.stale_after_s,
        is_whole=isinstance(file.message, DelimitedForm | BinaryForm),
        needs_agreement=needs_agreement,
        warnings=[one.what for keys in file.transports for one in reach_warnings(keys)],
    )
