"""Can the pins of a panel have the pulses that they need, all at once?

Dimmed lamps, a horn and gauges need pulses, and on a Pico-class board pins share the generators.
"""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.boards import LAMP_PULSE_HZ, SERVO_PULSE_HZ, Pin, board_of_kind
from panelbridge.config.panel_file import HornEntry
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem


def check_pulses(source: YamlSource) -> Iterator[ConfigProblem]:
    """Things on pins whose pulses get in one another's way."""
    earlier: dict[str, list[tuple[KeyPath, Pin, int]]] = {}
    for path, hz in _pulses(source):
        name, text = source.get((*path, "board")), source.get((*path, "pin"))
        kind = source.get(("boards", name, "board")) if isinstance(name, str) else None
        board = board_of_kind(kind)
        pin = board.pins.get(text) if board is not None and isinstance(text, str) else None
        if board is None or pin is None or not board.pairs_pulses:
            continue
        others = earlier.setdefault(str(name), [])
        for other_path, other, other_hz in others:
            if other is not pin and board.pulses_clash(other, other_hz, pin, hz):
                line = source.position(other_path).key_line
                yield source.at_value(
                    (*path, "pin"),
                    f"pins {quoted(other.name)} and {quoted(pin.name)} of a {board.kind} share a "
                    f"pulse generator, and {place_name(other_path)} (line {line}) needs it "
                    "otherwise",
                    "Use a pin of another pair (GP2 and GP3 are one, and so are GP18 and GP19), "
                    "or write 'dimmed: false' at a lamp",
                )
                break
        others.append((path, pin, hz))


def _pulses(source: YamlSource) -> Iterator[tuple[KeyPath, int]]:
    """Everything that needs pulses, with their frequency in Hz."""
    for name in source.keys(("lamps",)):
        if source.get(("lamps", name, "dimmed")) is not False:
            yield ("lamps", name), LAMP_PULSE_HZ
    hz = source.get(("horn", "frequency_hz"))
    default: int = HornEntry.model_fields["frequency_hz"].default
    yield ("horn",), hz if isinstance(hz, int) else default
    for name in source.keys(("gauges",)):
        yield ("gauges", name), SERVO_PULSE_HZ
