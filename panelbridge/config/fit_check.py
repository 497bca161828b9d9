"""Does a panel fit its aircraft? Reads the raw values, beside other problems."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from panelbridge.config.feed_file import FixedFeedFile
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.model_walk import child_of, target_of
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_short_forms import COLOURS
from panelbridge.config.value_names import each_value
from panelbridge.config.words import MAX_HINTS, did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of
from panelbridge.logic.kit.declarations import Gauge, Lamp, Solenoid
from panelbridge.logic.kit.handles import Switch
from panelbridge.logic.switches import is_lever
from panelbridge.logic.systems import wants_of
from panelbridge.logic.value_readers import readers_of

HANDLE = "gear_handle"
GAP = "gap"
_GROUP = "layout"
Needed = Switch[Any] | Lamp | Gauge | Solenoid
"""What an aircraft can need of a panel."""
_OWN_OF = {"left_pedal": "left_brake", "right_pedal": "right_brake"}
"""Values of the simulator that nobody misses when the panel has the switch."""
_GAUGED, _GAUGE = "hydraulic_pressure_psi", "hydraulic_pressure"
"""A value that an aircraft without hydraulics only shows, and the gauge that shows it."""


def check_panel_fits(source: YamlSource, aircraft: AircraftParameters) -> Iterator[ConfigProblem]:
    """What the aircraft needs and the panel lacks, and the reverse."""
    lamps, switches, own = lamps_of(aircraft), switches_of(aircraft), aircraft.own_switches
    needs: dict[str, Mapping[str, Needed]] = {
        "switches": {name: one for name, one in switches.items() if name not in own},
        "own_switches": {name: one for name, one in switches.items() if name in own},
        "lamps": lamps,
        "gauges": gauges_of(aircraft),
        "solenoids": solenoids_of(aircraft),
    }
    given = source.get(("not_fitted",))
    left_out = (
        {name: place for place, name in enumerate(given) if isinstance(name, str)}
        if isinstance(given, list)
        else {}
    )
    for group, wanted in needs.items():
        entries, fitted = source.get((group,)), source.keys((group,))
        if isinstance(entries, dict | None) and isinstance(given, list | None):
            yield from _lacking(source, group, wanted, fitted, left_out)
        yield from _foreign(source, group, wanted, fitted, aircraft.name)
    for name, need in lamps.items():
        yield from _check_colour(source, name, need)
    for name in own:
        yield from _check_form(source, name, is_lever=is_lever(name, switches))
    known: dict[str, KeyPath] = {"horn": ("horn",)}
    known |= {name: (group, name) for group, wanted in needs.items() for name in wanted}
    yield from _check_left_out(source, left_out, known, aircraft.name)


def check_feed_gives(
    source: YamlSource, aircraft: AircraftParameters, feed: FixedFeedFile | LinkFeedFile
) -> Iterator[ConfigProblem]:
    """Warnings of values that the feed leaves out, and what suffers."""
    link = feed if isinstance(feed, LinkFeedFile) else None
    if link is not None and link.receive is None:
        return
    given = {*each_value(aircraft, feed.values_by_name)}
    for want in wants_of(aircraft):
        missed = [quoted(name) for name in want.values if name not in given]
        if missed:
            what = f"the feed {quoted(feed.name)} gives no {listed(missed)}: {want.loss}"
            yield replace(source.at_value(("feed",), what, want.hint), is_warning=True)
        given.update(want.values)
    if link is not None:  # fixed values are few on purpose
        yield from _unread(source, aircraft, link, given)


def _unread(
    source: YamlSource, aircraft: AircraftParameters, feed: LinkFeedFile, given: Collection[str]
) -> Iterator[ConfigProblem]:
    """A warning for each group of systems that do without some values."""
    missed: dict[tuple[str, ...], list[str]] = {}
    for name, systems in readers_of(aircraft).items():
        has_own = name in _OWN_OF and source.get(("switches", _OWN_OF[name])) is not None
        shows = name != _GAUGED or aircraft.hydraulics or source.get(("gauges", _GAUGE)) is not None
        if systems and name not in given and not has_own and shows:
            missed.setdefault(systems, []).append(quoted(name))
    for systems, names in missed.items():
        do = "does" if len(systems) == 1 else "do"
        what = f"the feed {quoted(feed.name)} gives no {listed(names)}: {listed(systems, 'and')}"
        what += f" {do} without"
        hint = "Give it if your simulator sends it; what is unknown lights and inhibits nothing"
        yield replace(source.at_value(("feed",), what, hint), is_warning=True)


def _lacking(
    source: YamlSource,
    group: str,
    wanted: Mapping[str, Needed],
    fitted: Sequence[str],
    left_out: Mapping[str, int],
) -> Iterator[ConfigProblem]:
    # A name that is misspelt here or under not_fitted is an error of its own: reported once.
    misspelt = [name for name in (*fitted, *left_out) if name not in wanted][:MAX_HINTS]
    missing = [
        name
        for name, need in wanted.items()
        if getattr(need, "required", False)
        and name not in fitted
        and name not in left_out
        and not any(did_you_mean(other, [name]) for other in misspelt)
    ]
    if not missing:
        return
    things = listed([_thing(name, wanted[name].label) for name in missing], "and")
    if len(missing) == 1:
        what = f"the aircraft needs the {_THINGS[group]} {things}, and it is not wired"
        hint = f"Add it under '{group}:', or list its name under 'not_fitted:'"
    else:
        what = f"the aircraft needs {group} that are not wired: {things}"
        hint = f"Add them under '{group}:', or list their names under 'not_fitted:'"
    yield source.at_key((group,), what, hint)


def _thing(name: str, label: str) -> str:
    """The name, and what it is when the name does not say it."""
    says_it = name.replace("_", " ") == label.lower()
    return quoted(name) if says_it else f"{quoted(name)} ({label})"


_THINGS = {
    "switches": "switch",
    "own_switches": "switch of your own",
    "lamps": "lamp",
    "gauges": "gauge",
    "solenoids": "solenoid",
}


def _foreign(
    source: YamlSource,
    group: str,
    wanted: Mapping[str, Needed],
    fitted: Sequence[str],
    aircraft: str,
) -> Iterator[ConfigProblem]:
    """Entries that the aircraft has no use for."""
    modelled = {*(child_of(target_of(PanelFile), group).fields or fitted)}
    # What no model knows has been reported by it.
    strangers = [name for name in fitted if name not in wanted and name in modelled]
    free = [name for name in wanted if name not in fitted]
    for count, name in enumerate(strangers):
        what = f"the aircraft {quoted(aircraft)} has no {_THINGS[group]} {quoted(name)}"
        thing, _, colour = name.rpartition("_")
        hint = did_you_mean(name, free) if count < MAX_HINTS else ""
        others = [quoted(one) for one in free if one.rpartition("_")[0] == thing]
        if group == "lamps" and colour in COLOURS and others:
            hint = f"Did you mean {listed(others)}?"
        hint = hint or f"Delete it; the aircraft has {listed(wanted, 'and') or 'none'}"
        yield source.at_key((group, name), what, hint)


def _check_colour(source: YamlSource, name: str, need: Lamp) -> Iterator[ConfigProblem]:
    colour = source.get(("lamps", name, "colour"))
    if isinstance(colour, str) and colour != need.colour and colour in COLOURS:
        yield source.at_value(
            ("lamps", name, "colour"),
            f"the lamp {quoted(name)} cannot be {colour}",
            f"Its colour must be {need.colour}",
        )


def _check_form(source: YamlSource, name: str, *, is_lever: bool) -> Iterator[ConfigProblem]:
    """A lever of the builder's own that is wired as a contact, or the reverse."""
    path: KeyPath = ("own_switches", name)
    form = source.get((*path, "form"))
    if form in ("contact", "lever") and (form == "lever") is not is_lever:
        wanted = "lever" if is_lever else "contact"
        what = f"{quoted(name)} is a {wanted} in the aircraft file, and wired as a {form} here"
        yield source.at_key(path, what, f"Write 'form: {wanted}', or change its kind there")


def _check_left_out(
    source: YamlSource, left_out: Mapping[str, int], known: Mapping[str, KeyPath], aircraft: str
) -> Iterator[ConfigProblem]:
    for name, place in left_out.items():
        path = ("not_fitted", place)
        if name not in known:
            what = f"the aircraft {quoted(aircraft)} has no switch, lamp or gauge {quoted(name)}"
            yield source.at_value(path, what, did_you_mean(name, [*known]) or "Delete the name")
        elif source.get(known[name]) is not None:
            what = (
                f"{quoted(name)} is listed as not fitted, and is wired as "
                f"{place_name(known[name])} (line {source.position(known[name]).key_line})"
            )
            yield source.at_value(path, what, "Delete the name here")


def check_layout(source: YamlSource, aircraft: AircraftParameters) -> Iterator[ConfigProblem]:
    """Names that are unknown, stand there twice, or belong to a leg that stands for them."""
    rows = source.get((_GROUP,))
    if not isinstance(rows, list):
        return
    legs = [leg.name for leg in aircraft.legs]
    lamps = source.keys(("lamps",))
    first: dict[str, KeyPath] = {}
    for row, cells in enumerate(rows):
        for place, name in enumerate(cells if isinstance(cells, list) else ()):
            if not isinstance(name, str) or name == GAP:
                continue
            path: KeyPath = (_GROUP, row, place)
            leg = next((leg for leg in legs if name.startswith(f"{leg}_")), None)
            if leg is not None and name in (f"{leg}_green", f"{leg}_red"):
                what = f"{quoted(name)} is a lamp of the {leg} leg, and stands where its leg does"
                yield source.at_value(path, what, f"Write {quoted(leg)}")
            elif name not in (*legs, *lamps, HANDLE):
                what = f"this panel has no leg or lamp {quoted(name)}"
                hint = did_you_mean(name, [*legs, *lamps, HANDLE, GAP])
                hint = hint or "Write the name of a leg or of a wired lamp, gear_handle or gap"
                yield source.at_value(path, what, hint)
            elif name in first:
                line = source.position(first[name]).line
                what = f"{quoted(name)} stands in the layout twice (first in line {line})"
                yield source.at_value(path, what, "Delete one of the two")
            first.setdefault(name, path)
