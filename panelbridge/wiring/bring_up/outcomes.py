"""What an examination found: sentences, measurements, proven wires, lines for the panel file."""

from __future__ import annotations

from msgspec import Struct, field

from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.config.yaml_positions import KeyPath
from panelbridge.wiring.bring_up.prompts import PartState

Scalar = str | int | float | bool


class FileChange(Struct, frozen=True):
    """A value of the panel file that should be another.

    Attributes:
        path: its keys.
        value: the new value.
        because: why, a sentence for people without its full stop.
    """

    path: KeyPath
    value: Scalar
    because: str

    @property
    def line(self) -> str:
        """As in the file: ``switches.lamp_test.pin: D25``."""
        value = str(self.value).lower() if isinstance(self.value, bool) else self.value
        return f"{'.'.join(str(key) for key in self.path)}: {value}"


class PartOutcome(Struct, frozen=True):
    """What was found of one part.

    Attributes:
        state: how it ended.
        findings: what is not as the file says, a sentence each.
        measured: what was measured, a sentence each.
        changes: values of the file that would mend it.
        wires: where wires proved to end, whether or not the file says so.
    """

    state: PartState
    findings: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    changes: tuple[FileChange, ...] = ()
    wires: dict[WireKey, Place] = field(default_factory=dict)
