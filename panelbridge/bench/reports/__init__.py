"""What people and programs get to see of runs.

``text`` and ``console`` for the terminal, ``progress`` for long runs, ``coverage`` of the logic,
``junit`` for CI services, ``timeline_svg`` as a picture, ``timeline_vcd`` for waveform viewers.
"""

from panelbridge.bench.reports.text import result_text, summary_text

__all__ = ["result_text", "summary_text"]
