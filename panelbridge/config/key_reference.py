"""The reference of all keys of a kind of file as Markdown, made from its JSON Schema."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

from panelbridge.config.advice import NAME_RULE, number_text, unit_of
from panelbridge.config.chart_texts import charts_text
from panelbridge.config.file_format import FORMAT, RENAMED
from panelbridge.config.pin_names import PIN_OR_BIT_PATTERN, PIN_PATTERN

_TABLE = "| Key | What it can be | Default | What it is |\n|---|---|---|---|\n"


def reference_text(kind: str, schema: dict[str, Any]) -> str:
    """Every key of the files of ``kind`` that ``schema`` describes, and the keys renamed in it."""
    lines = [f"# Keys of {'an' if kind == 'aircraft' else 'a'} {kind} file\n"]
    lines.append("Made from the schema; a key without a default is needed. Units stand in names.\n")
    parts = {kind: schema, **schema.get("$defs", {})}
    order = [kind]
    for name in order:  # it grows: groups follow in the order in which they are named
        named = re.findall(r"#/\$defs/(\w+)", json.dumps(parts[name]))
        order += [other for other in dict.fromkeys(named) if other not in order]
    lines += [_part(name, parts) for name in order]
    lines.append(f"## Renamed keys\n\nFormat 1 became format {FORMAT} (`format: {FORMAT}`).\n")
    renamed = [f"| `{key.old}` | `{key.example}` |" for key in RENAMED if key.kind == kind]
    if renamed:
        lines.append("\n".join(["| Before | Now, for example |", "|---|---|", *renamed, ""]))
    if kind == "aircraft":
        lines.append("## Charts\n\nThe states of the systems, and the triggers that change them.\n")
        lines.append(charts_text())
    return "\n".join(line for line in lines if line)


def _part(name: str, parts: dict[str, dict[str, Any]]) -> str:
    """The section of a group; empty for what is no group."""
    part = parts[name]
    group = part["anyOf"][-1] if "anyOf" in part else part
    keys = {**group.get("properties", {}), **group.get("patternProperties", {})}
    about = part.get("description", "")
    if not keys:
        return f"## {name}\n\n{about}\n" if about else ""
    needed = group.get("required", ())
    short = part["anyOf"][0].get("description", "") if "anyOf" in part else ""
    short = f"Short: {short[0].lower()}{short[1:]}\n\n" if short else ""
    rows = ""
    for key, entry in keys.items():
        # A group whose description is that of its model has it there only.
        other = parts.get(entry.get("$ref", "").rpartition("/")[2], {})
        rows += _row(key, {"description": other.get("description", ""), **entry}, key in needed)
    return f"## {name}\n\n{about}{chr(10) * 2 * bool(about)}{short}{_TABLE}{rows}"


def _row(key: str, entry: dict[str, Any], needed: bool) -> str:
    name = re.sub(r"\[1-\d\]", "N", key.strip("^$").replace(NAME_RULE, "NAME"))
    unit = unit_of(name)
    can_be = " or ".join(dict.fromkeys(_can_be(entry, unit)))
    default = "" if needed else _default(entry.get("default"))
    about = entry["description"].replace("|", "\\|")
    return f"| `{name}` | {can_be} | {default} | {about} |\n"


def _default(value: Any) -> str:
    if value is None or value in ({}, [], ""):
        return "none"
    return "its defaults" if isinstance(value, dict | list) else f"`{json.dumps(value)}`"


def _can_be(entry: dict[str, Any], unit: str) -> Iterator[str]:
    """What may stand there, in words."""
    choices = entry.get("anyOf") or entry.get("oneOf")
    if choices:
        for choice in choices:
            yield from _can_be(choice, unit)
    elif "$ref" in entry:
        name = entry["$ref"].rpartition("/")[2]
        yield f"[{name}](#{name.lower()})"
    elif "enum" in entry or "const" in entry:
        yield ", ".join(f"`{value}`" for value in entry.get("enum", [entry.get("const")]))
    elif isinstance(entry.get("type"), list):
        yield from entry["type"]
    elif entry.get("type") in ("number", "integer"):
        whole = "whole number" if entry["type"] == "integer" else "number"
        yield f"{whole} {_range(entry)} {unit}".strip()
    elif entry.get("type") == "array":
        inner = entry.get("items", {})
        yield f"list of {_count(entry)}: {' or '.join(_can_be(inner, unit))}".replace(" :", ":")
    elif "properties" in entry:
        yield f"group of {', '.join(f'`{key}`' for key in entry['properties'])}"
    elif entry.get("type") == "object":
        each = entry.get("additionalProperties")
        words = _can_be(each if isinstance(each, dict) else {}, unit)
        yield f"group of names, each: {' or '.join(words)}"
    else:
        named = {"boolean": "`true`, `false`", "string": "text", "null": "`null`"}
        text = named.get(str(entry.get("type")), "anything")
        yield "pin" if entry.get("pattern") in (PIN_PATTERN, PIN_OR_BIT_PATTERN) else text


def _count(entry: dict[str, Any]) -> str:
    low, high = entry.get("minItems", 0), entry.get("maxItems")
    return f"{low} to {high}" if high is not None else f"{low} or more" if low else ""


def _range(entry: dict[str, Any]) -> str:
    words = {
        "exclusiveMinimum": "above",
        "minimum": "from",
        "exclusiveMaximum": "below",
        "maximum": "to",
    }
    limits = [f"{words[key]} {number_text(entry[key])}" for key in words if key in entry]
    return " ".join(limits)
