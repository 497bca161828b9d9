"""What to write instead: advice for a value of the wrong kind."""

from __future__ import annotations

import operator
import re
from collections.abc import Sequence

from panelbridge.config.model_walk import Target
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import Position, Value

_UNITS = (
    ("_psi_per_s", "psi/s"),
    ("_deg_per_s", "degrees/s"),
    ("_kias", "kt"),
    ("_kt", "kt"),
    ("_ft", "ft"),
    ("_deg", "degrees"),
    ("_psi", "psi"),
    ("_hz", "Hz"),
    ("_ms", "ms"),
    ("_us", "us"),
    ("_s", "s"),
    ("_ma", "mA"),
    ("_v", "V"),
    ("_ohm", "ohm"),
    ("_nf", "nF"),
    ("_w", "W"),
    ("_m", "m"),
    ("_awg", "AWG"),
    ("_counts", "counts"),
    ("baud", "bit/s"),
)
_LIMITS = {"ge": operator.ge, "gt": operator.gt, "le": operator.le, "lt": operator.lt}
_TRUE_WORDS = {"on", "yes", "y", "true", "1"}
_FALSE_WORDS = {"off", "no", "n", "false", "0"}
NAME_RULE = r"[a-z][a-z0-9_]{0,15}"
BIT_EXAMPLE = "A bit of a chain is its name, a point and the number of the bit, as in knobs.3"
PIN_EXAMPLE = "Write it as it is printed on the board: D2, A0, or GP2 on a Pico-class board"


def unit_of(name: str) -> str:
    """The unit that the end of a key's name says; empty without one."""
    return next((unit for end, unit in _UNITS if name.endswith(end)), "")


def number_text(value: float) -> str:
    """``value`` as a person writes it: 250000, 0.5."""
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else f"{value:g}"


def found_text(value: Value, position: Position) -> str:
    """What stands in the file, in words."""
    if isinstance(value, str):
        thing = f"the text {quoted(value)}{'' if position.plain else ' in quotes'}"
        thing = thing if value else "an empty text"
    elif isinstance(value, dict | list):
        thing = "a group of keys" if isinstance(value, dict) else "a list"
    elif value is None:
        thing = "nothing"
    else:
        thing = position.written if isinstance(value, bool) else f"the number {position.written}"
    return f"{thing} stands here"


def range_text(target: Target) -> str:
    """The limits of a number in words: ``from 1 to 500 ms``; empty without limits."""
    low, above, high, below = (
        None if limit is None else number_text(limit) for limit in map(target.limit, _LIMITS)
    )
    if low is not None and (high is not None or below is None):
        text = f"{low} or more" if high is None else f"from {low} to {high}"
    else:
        parts = {"from": low, "more than": above, "up to": high, "less than": below}
        text = " and ".join(f"{words} {limit}" for words, limit in parts.items() if limit)
    return f"{text} {unit_of(target.name)}".strip() if text else ""


def in_range(number: float, target: Target) -> bool:
    """Whether ``number`` is within the limits of ``target``."""
    limits = {name: target.limit(name) for name in _LIMITS}
    return all(limit is None or _LIMITS[name](number, limit) for name, limit in limits.items())


def advice_for_bool(position: Position) -> str:
    """How to write what was meant as yes or no."""
    word = position.written.strip().lower()
    meant = "true" if word in _TRUE_WORDS else "false" if word in _FALSE_WORDS else "true or false"
    if not position.plain and position.written:
        return f"Write {meant}, without quotes"
    return f"Write {meant} (yes and no are always written true and false)"


def advice_for_number(value: Value, position: Position, whole: bool, target: Target) -> str:
    """How to write what was meant as a number."""
    sample = range_text(target)
    default = f"Write a number {sample}" if sample else "Write a number"
    if isinstance(value, float) and whole and in_range(round(value), target):
        return f"Write {round(value)}"
    if not isinstance(value, str):
        return default
    number = _meant_number(value, whole, unit_of(target.name))
    if number and in_range(float(number), target):
        reason = _REASONS.get(_shape(value), "")
        return (
            f"Write {number}, without quotes{reason}"
            if not position.plain
            else (f"Write {number}{reason}")
        )
    if re.fullmatch(r"[0-9]+(:[0-9]{1,2})+", value):
        unit = unit_of(target.name)
        return f"Write one number{f' in {unit}' if unit else ''}, without colons"
    if value.lower() in _TRUE_WORDS | _FALSE_WORDS - {"0", "1"}:
        return f"This is no switch to turn on or off: {default[0].lower()}{default[1:]}"
    return default


_NUMBER = r"[-+]?[0-9]*\.?[0-9]*"
_WITH_UNIT = re.compile(rf"({_NUMBER}) ?([a-zµ°]+)", re.IGNORECASE)
_UNIT_WORDS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
    **dict.fromkeys(("us", "µs"), "us"),
    **dict.fromkeys(("kt", "kts", "kias", "knots"), "kt"),
    **dict.fromkeys(("ft", "feet"), "ft"),
    **dict.fromkeys(("deg", "degrees", "°"), "degrees"),
    **dict.fromkeys(("v", "volt", "volts"), "V"),
    **dict.fromkeys(("ohm", "ohms"), "ohm"),
    "ma": "mA",
    "nf": "nF",
    "w": "W",
    "m": "m",
    "ms": "ms",
    "hz": "Hz",
    "psi": "psi",
    "baud": "bit/s",
}
_SECONDS = {"s": 1.0, "ms": 1e-3, "us": 1e-6}
_REASONS = {
    "zeros": ": a number has no zeros in front",
    "comma": ", with a point",
    "unit": ": the unit is in the key's name already",
}


def _shape(text: str) -> str:
    if re.fullmatch(r"[-+]?0[0-9]+(\.[0-9]*)?", text):
        return "zeros"
    if re.fullmatch(r"[-+]?[0-9]+,[0-9]+", text):
        return "comma"
    if _WITH_UNIT.fullmatch(text):
        return "unit"
    return ""


def _without_unit(text: str, unit: str) -> str:
    """A number with a word of a unit behind it as a number in ``unit``; empty when it is none."""
    found = _WITH_UNIT.fullmatch(text)
    given = _UNIT_WORDS.get(found[2].lower(), "") if found else ""
    if found is None or not any(c.isdigit() for c in found[1]):
        return ""
    if given in _SECONDS and unit in _SECONDS:
        return number_text(float(found[1]) * _SECONDS[given] / _SECONDS[unit])
    return found[1] if given == unit else ""


def _meant_number(text: str, whole: bool, unit: str) -> str:
    """The number that ``text`` probably means; empty when nothing can be made of it."""
    shape = _shape(text)
    cleaned = text.replace(",", ".") if shape == "comma" else text
    if shape == "unit":
        cleaned = _without_unit(text, unit)
    cleaned = cleaned.lstrip("+") if len(cleaned) < 20 else ""
    if re.fullmatch(r"0[xX][0-9a-fA-F]+|0[oO][0-7]+|0[bB][01]+|[0-9]+(_[0-9]+)+", cleaned):
        return str(int(cleaned, 0 if cleaned[0] == "0" else 10))
    if not re.fullmatch(_NUMBER, cleaned) or not any(c.isdigit() for c in cleaned):
        return ""
    number = float(cleaned)
    if whole and not number.is_integer():
        return ""
    return number_text(number)


def advice_for_pin(value: Value, *, bits: bool = False, chains: Sequence[str] = ()) -> str:
    """How to write a pin's name, or, where ``bits`` can stand, that of a bit of ``chains``."""
    text = str(value).strip() if isinstance(value, int | str) and value is not True else ""
    match = re.fullmatch(r"(?i)(pin|digital|analog|d|a|gp|gpio)?[ _-]?0*([0-9]{1,2})", text)
    number = re.fullmatch(r"(?i)(?:q|qh|bit|ch|out|in)[ _-]?([0-9]{1,3})", text)
    if number and bits:
        named = listed(quoted(f"{chain}.{int(number[1])}") for chain in chains)
        return f"{f'Did you mean {named}? ' if named else ''}{BIT_EXAMPLE}"
    if match is None:
        bit = re.fullmatch(r"([A-Za-z]\w{0,15})[.:/\[ -]+([0-9]{1,3})\]?", text) if bits else None
        return (
            f"Did you mean '{bit[1].lower()}.{int(bit[2])}'? {BIT_EXAMPLE}" if bit else PIN_EXAMPLE
        )
    letters = (match[1] or "d").lower()
    prefix = {"a": "A", "analog": "A", "gp": "GP", "gpio": "GP"}.get(letters, "D")
    return f"Did you mean '{prefix}{match[2]}'? {PIN_EXAMPLE}"


def advice_for_name(value: Value) -> str:
    """How to write a name that the file itself gives, such as a leg's."""
    rule = "A name begins with a small letter and goes on with up to 15 small letters, digits or _"
    plain = re.sub(r"[^a-z0-9]+", "_", str(value).lower()).strip("_")
    return f"Did you mean '{plain}'? {rule}" if re.fullmatch(NAME_RULE, plain) else rule


def advice_for_text(value: Value, position: Position) -> str:
    """How to write what was meant as a text."""
    if value is None:
        return "Write a text after the colon"
    if isinstance(value, dict | list):
        return "Write a single text; a text with : [ ] { } in it needs quotes"
    return f'Put it in quotes: "{quoted(position.written)[1:-1]}"'


def advice_for_choice(value: Value, choices: tuple[object, ...]) -> str:
    """Which of the choices was meant."""
    names = [str(choice) for choice in choices]
    one_of = f"It {'must' if len(names) == 1 else 'can'} be {listed(names)}"
    close = did_you_mean(value, names) if isinstance(value, str) else ""
    return f"{close} {one_of}" if close and len(names) > 1 else close or one_of
