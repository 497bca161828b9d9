"""Does the wiring of a panel fit its boards?

The models see one value at a time; here values are compared with one another. This reads the raw
values, so that it finds its problems beside those of the models; whatever is not of the right kind
has been reported by a model already and is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from panelbridge.config.advice import advice_for_pin
from panelbridge.config.board_of_entry import board_of_entry, check_descriptions
from panelbridge.config.boards import LAMP_PULSE_HZ, OTHER, SERVO_PULSE_HZ, Board, Pin
from panelbridge.config.chain_check import PIN_KEYS, chains_of, check_chains
from panelbridge.config.panel_parts.output_entries import HornEntry, NeedleEntry
from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.panel_short_forms import wired
from panelbridge.config.pin_names import KNOWN_PIN, is_pin_name
from panelbridge.config.words import did_you_mean, listed, quoted, runs
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem

_CHAIN_PIN_KEYS = ("data_pin", "clock_pin", "latch_pin")


def check_wiring(source: YamlSource, *, is_whole: bool = True) -> list[ConfigProblem]:
    """Boards, pins and pairs of numbers of a panel file.

    Args:
        source: the file in its long form.
        is_whole: every part has its pins, so that what nothing is wired to is an error.
    """
    names = source.keys(("boards",))
    problems: list[ConfigProblem] = [*check_descriptions(source)]
    claims: dict[tuple[str, str], KeyPath] = {}
    for owner in names:
        kind = board_of_entry(source, owner)
        for path in chains_of(source, owner):
            for key in _CHAIN_PIN_KEYS:
                problems.extend(_check_pin(source, (*path, key), False, owner, kind, claims))
    used: set[str] = set()
    strangers = False
    uses = [path for path, _ in wired(source) if isinstance(source.get(path), dict)]
    for path in uses:
        problems.extend(_check_pairs(source, path))
        name = source.get((*path, "board"))
        if not isinstance(name, str):
            continue
        if name not in names:
            strangers = True
            if names:
                what = f"there is no board {quoted(name)} in this file"
                hint = did_you_mean(name, names) or f"Boards of this file: {listed(names, 'and')}"
                problems.append(source.at_value((*path, "board"), what, hint))
            continue
        used.add(name)
        board = board_of_entry(source, name)
        analogue = source.get((*path, "form")) == "lever"
        if analogue and board is not None:
            problems.extend(_check_counts(source, path, board))
        for key in PIN_KEYS:
            problems.extend(_check_pin(source, (*path, key), analogue, name, board, claims))
    problems.extend(
        source.at_key(
            ("boards", name),
            f"nothing is wired to the board {quoted(name)}",
            "Delete the board, or name it as 'board:' of a switch or lamp",
        )
        for name in names
        if is_whole and name not in used and not strangers  # else one of them may be meant
    )
    problems.extend(_check_ports(source, names))
    problems.extend(check_pulses(source))
    problems.extend(check_chains(source, uses, is_whole=is_whole))
    return problems


def _check_pin(
    source: YamlSource,
    path: KeyPath,
    analogue: bool,
    name: str,
    board: Board | None,
    claims: dict[tuple[str, str], KeyPath],
) -> Iterator[ConfigProblem]:
    text = source.get(path)
    if not isinstance(text, str) or not is_pin_name(text):
        return
    if source.get(("boards", name, "board")) != OTHER and not KNOWN_PIN.fullmatch(text):
        what = f"{place_name(path)} must be the name of a pin, and {quoted(text)} is none"
        bits = path[0] in ("switches", "lamps")
        chains = source.keys(("boards", name, "chains"))
        yield source.at_value(path, what, advice_for_pin(text, bits=bits, chains=chains))
        return
    first = claims.setdefault((name, text), path)
    if first != path:
        if first[:-1] == path[:-1]:
            what = f"{path[-1]} and {first[-1]} are the same pin, {quoted(text)}"
            thing = "line of the chain" if path[0] == "boards" else "contact of the handle"
            hint = f"Each {thing} needs a pin of its own"
        else:
            what = f"pin {quoted(text)} of board {quoted(name)} is taken already by "
            what += f"{place_name(first[:-1])} ({source.position(first).where})"
            hint = "Give one of the two another pin"
        yield source.at_value(path, what, hint)
    if board is None:
        return
    title = f"board {quoted(name)} ({board.kind})"
    what, pin = f"pin {quoted(text)} of {title}", board.pins.get(text)
    if pin is None:
        what, hint = f"{title} has no pin {quoted(text)}", _pin_hint(text, board, analogue)
    elif pin.reserved:
        what, hint = f"{what} must stay free: {pin.reserved}", "Use another pin"
    elif analogue and not pin.analogue:
        what += " cannot read a knob or lever"
        hint = _analogue_hint(board)
    elif not analogue and not pin.digital:
        what += " can only read a knob or lever"
        hint = "Use a pin whose name begins with D, or a lower A number"
        if board.kind == OTHER:
            hint = f"Use {runs([n for n, p in board.pins.items() if p.digital and not p.reserved])}"
    else:
        return
    yield source.at_value(path, what, hint)


def _pin_hint(text: str, board: Board, analogue: bool) -> str:
    # D07 is D7; names that differ in a digit are no help, so there is no other guess.
    plain = text.rstrip("0123456789") + (text[len(text.rstrip("0123456789")) :].lstrip("0") or "0")
    if plain in board.pins:
        return f"Did you mean {quoted(plain)}?"
    if board.kind == OTHER and (meant := did_you_mean(text, [*board.pins])):
        return meant
    if analogue:
        return _analogue_hint(board)
    free = [name for name, pin in board.pins.items() if pin.digital and not pin.reserved]
    return f"You can use {runs(free, 'and')}"


def _analogue_hint(board: Board) -> str:
    pins = [name for name, pin in board.pins.items() if pin.analogue and not pin.reserved]
    return f"Its analogue pins are {runs(pins, 'and')}" if pins else "It has no analogue pins"


def _check_pairs(source: YamlSource, path: KeyPath) -> Iterator[ConfigProblem]:
    """Two ends of a scale that are the same number, given or by default."""
    for model, low, high, thing in (
        (LeverSwitch, "counts_at_0", "counts_at_1", "lever"),
        (NeedleEntry, "pulse_at_0_us", "pulse_at_1_us", "needle"),
    ):
        entry = source.get(path)
        given = [key for key in (low, high) if isinstance(entry, dict) and key in entry]
        first, second = (
            source.get((*path, key)) if key in given else model.model_fields[key].default
            for key in (low, high)
        )
        if given and first == second and isinstance(first, int):
            yield source.at_value(
                (*path, given[-1]),
                f"{low} and {high} are the same number, {first}",
                f"Write what belongs to each end of the {thing}'s travel",
            )


def _check_counts(source: YamlSource, path: KeyPath, board: Board) -> Iterator[ConfigProblem]:
    """Counts that the board never reads, and a default that is meant for another board."""
    entry = source.get(path)
    for key in ("counts_at_0", "counts_at_1"):
        counts = source.get((*path, key))
        if isinstance(counts, int) and board.counts < counts <= 65535:
            yield source.at_value(
                (*path, key),
                f"a board of kind {board.kind} reads 0 to {board.counts} counts, never {counts}",
                f"Write {board.counts} or less",
            )
    default: int = LeverSwitch.model_fields["counts_at_1"].default
    if board.counts > default and isinstance(entry, dict) and "counts_at_1" not in entry:
        yield source.at_key(
            path,
            f"{place_name(path)} lacks the key 'counts_at_1', needed on a {board.kind}",
            f"Add 'counts_at_1: {board.counts}', or what the board reads at the lever's top",
        )


def _check_ports(source: YamlSource, names: Sequence[str]) -> Iterator[ConfigProblem]:
    seen: dict[str, str] = {}
    for name in names:
        port = source.get(("boards", name, "port"))
        if not isinstance(port, str):
            continue
        first = seen.setdefault(port_name(port), name)
        if first != name:
            yield source.at_value(
                ("boards", name, "port"),
                f"boards {quoted(first)} and {quoted(name)} have the same port, {quoted(port)}",
                "Each board is on a port of its own",
            )


def port_name(port: str) -> str:
    """``com5`` and ``COM5`` are one port; elsewhere small and capital letters differ."""
    port = port.strip()
    return port.upper() if re.fullmatch(r"(?i)com[0-9]+", port) else port


def check_pulses(source: YamlSource) -> Iterator[ConfigProblem]:
    """Pins that cannot have the pulses that they need, all at once.

    Dimmed lamps, a horn and gauges need pulses, and on a Pico-class board pins share the
    generators.
    """
    earlier: dict[str, list[tuple[KeyPath, Pin, int]]] = {}
    for path, hz in _pulses(source):
        name, text = source.get((*path, "board")), source.get((*path, "pin"))
        board = board_of_entry(source, name)
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
