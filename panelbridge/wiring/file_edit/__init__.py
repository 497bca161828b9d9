"""Edits of a panel file that leave everything else in it as it is: comments, layout, line ends.

The text is cut by the places of PyYAML's nodes. A round trip through ``ruamel.yaml`` was tried and
changes lines of every shipped file that nobody edited (``{ pin: D2 }``, ``null``, folded lists).
"""

from panelbridge.wiring.file_edit.panel_edit import PanelEdit

__all__ = ["PanelEdit"]
