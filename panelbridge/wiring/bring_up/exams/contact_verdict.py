"""What the pins that moved with a switch mean: right, elsewhere, exchanged, inverted, joined."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from panelbridge.config.panel_parts.switch_entries import OneContactHandle, TwoContactHandle
from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.wiring.bring_up.exams.exam import ExamContext
from panelbridge.wiring.bring_up.exams.strokes import Moved
from panelbridge.wiring.bring_up.exams.switch_words import ContactEntry
from panelbridge.wiring.bring_up.outcomes import FileChange
from panelbridge.wiring.bring_up.prompts import PartState


class ContactVerdict(Struct):
    """What was found of a switch before its bounce was measured.

    Attributes:
        state: FAULT, or PROVEN: what the file can mend is no fault yet.
        findings: a sentence each.
        changes: values of the file that would mend it.
        wires: where its wires proved to end.
    """

    state: PartState = PartState.PROVEN
    findings: list[str] = field(default_factory=list)
    changes: list[FileChange] = field(default_factory=list)
    wires: dict[WireKey, Place] = field(default_factory=dict)

    def fault(self, text: str) -> None:
        """Note what no file can mend."""
        self.state = PartState.FAULT
        self.findings.append(text)


def judge_contacts(
    context: ExamContext,
    keys: Sequence[WireKey],
    entry: ContactEntry,
    moved: Mapping[Place, Moved],
) -> ContactVerdict:
    """Judge the pins that differ between the operated position, or up, and the other one.

    Args:
        context: panel and wires.
        keys: the wires of the switch; of a handle with two contacts up, then down.
        entry: the switch in the file.
        moved: what has moved; never empty.
    """
    verdict = ContactVerdict()
    # An LED holds its pin near the threshold, where it may follow a neighbour.
    moved = {place: how for place, how in moved.items() if not context.is_lamp(place)} or moved
    if isinstance(entry, TwoContactHandle):
        _judge_two(verdict, context, keys, entry, moved)
    else:
        _judge_one(verdict, context, keys[0], entry, moved)
    return verdict


def _judge_one(
    verdict: ContactVerdict,
    context: ExamContext,
    key: WireKey,
    entry: ContactEntry,
    moved: Mapping[Place, Moved],
) -> None:
    filed = context.wires[key]
    if len(moved) > 1:
        names = " and ".join(context.words_of(place) for place in moved if place != filed)
        if filed in moved:
            verdict.fault(f"{names} moved together with {filed}: are the two wires joined?")
        else:
            verdict.fault(f"{names} moved together, and {filed} did not")
        return
    ((place, how),) = moved.items()
    verdict.wires[key] = place
    if place != filed:
        verdict.findings.append(
            f"its wire is at {context.words_of(place)}, the file says {filed.pin}"
        )
    if isinstance(entry, OneContactHandle):
        closed_means = "up" if how.first else "down"
        if closed_means != entry.closed_means:
            verdict.findings.append(f"its contact is closed when it is {closed_means}")
            change = (*key.entry, "closed_means")
            why = f"closed when the handle is {closed_means}"
            verdict.changes.append(FileChange(change, closed_means, why))
    elif how.first == entry.normally_closed:
        why = f"contact {'closes' if how.first else 'opens'} when it is operated"
        verdict.findings.append(f"its {why}, the file says the reverse")
        change = (*key.entry, "normally_closed")
        verdict.changes.append(FileChange(change, not how.first, f"the {why}"))


def _judge_two(
    verdict: ContactVerdict,
    context: ExamContext,
    keys: Sequence[WireKey],
    entry: TwoContactHandle,
    moved: Mapping[Place, Moved],
) -> None:
    filed = {context.wires[key]: key for key in keys}
    if len(moved) == 1:
        ((place, _),) = moved.items()
        missing = [at for at in filed if at != place]
        reads = "closed" if context.pins.closed.get(missing[-1]) else "open"
        verdict.fault(
            f"only {context.words_of(place)} moved; {missing[-1]} reads {reads} all the time:"
            " is the wire of that contact off, or is it bent away?"
        )
        return
    if len(moved) > 2:
        others = [context.words_of(place) for place in moved if place not in filed]
        verdict.fault(f"{' and '.join(others)} moved together with the handle: joined wires?")
        return
    if len({place.board for place in moved}) > 1:
        places = " and ".join(map(str, moved))
        verdict.fault(f"its contacts are on two boards, {places}: put both on one")
        return
    opens = _opens_when_made(moved, entry.normally_closed)
    # Made at the end where it is closed, or open if it opens when the handle arrives.
    up = next((place for place, how in moved.items() if how.first != opens), None)
    down = next((place for place, how in moved.items() if how.first == opens), None)
    if up is None or down is None:
        verdict.fault("both contacts are closed at one end and open at the other: wrong terminals?")
        return
    verdict.wires |= {keys[0]: up, keys[1]: down}
    if [up, down] == [context.wires[key] for key in reversed(keys)]:
        verdict.findings.append("the up contact and the down contact are exchanged")
    else:
        for key, place in verdict.wires.items():
            if place != context.wires[key]:
                end = key.key.partition("_")[0]
                where = context.words_of(place)
                verdict.findings.append(f"the wire of its {end} contact is at {where}")
    if opens != entry.normally_closed:
        word = "open" if opens else "close"
        verdict.findings.append(f"its contacts {word} when the handle arrives, the file says not")
        why = f"the contacts {word} when the handle arrives"
        verdict.changes.append(FileChange((*keys[0].entry, "normally_closed"), opens, why))


def _opens_when_made(moved: Mapping[Place, Moved], filed: bool) -> bool:
    """Whether contacts open on arrival: the one that is left then closes before the other opens.

    Where both changed at one instant the file's word stands.
    """
    first, second = sorted(moved.values(), key=lambda how: how.left_first_s)
    if first.left_first_s == second.left_first_s:
        return filed
    return not first.first
