"""The wiring of a panel as files: one printable page, drawings, tables."""
