"""The choices of the master lights."""

from __future__ import annotations

from panelbridge.logic.kit.parameters import Parameters


class AlertsParameters(Parameters):
    """Master warning and master caution: each new alert lights one of them until the reset.

    To let them flash until then, name them under 'flashing' of 'lamps'.
    """

    master_warning: bool = True
    """Events of the level warning light the red master warning."""
    master_caution: bool = True
    """Events of the level caution light the amber master caution."""
    faults_raise_caution: bool = True
    """Events of the level fault (something is broken) light the master caution too."""
    separate_resets: bool = False
    """Each master light has a reset button of its own; else one button resets both."""
