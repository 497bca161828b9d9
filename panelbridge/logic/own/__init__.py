"""The builder's own lamps."""
