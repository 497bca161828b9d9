"""The other reader of waveforms, without what its import does to the process.

vcdvcd gives SIGPIPE its default action as it is imported: from then on a write into a pipe that
nobody reads any more ends the whole process, here all of pytest, instead of raising.
"""

from __future__ import annotations

import signal

_SIGPIPE = getattr(signal, "SIGPIPE", None)  # Windows has none
_before = signal.getsignal(_SIGPIPE) if _SIGPIPE is not None else None

import vcdvcd  # noqa: E402 - what stood before it is put back below

if _SIGPIPE is not None:
    signal.signal(_SIGPIPE, _before)


def read_vcd(text: str) -> vcdvcd.VCDVCD:
    """A waveform as vcdvcd reads it."""
    return vcdvcd.VCDVCD(vcd_string=text)
