"""A first panel in a folder of its own: panel, aircraft and feed file, and their schemas."""

from panelbridge.wiring.new_panel.new_files import NewPanel, make_panel

__all__ = ["NewPanel", "make_panel"]
