"""The builder's own lamps, switches and horn rules."""
