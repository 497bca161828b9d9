"""Boards over serial; ``firmware_examples/PROTOCOL.md`` specifies the bytes.

Three folders, each offers its names in its ``__init__``; imports point from right to left:
``wire`` (frames and messages) <- ``ports`` (bytes in and out) <- ``session`` (one board kept live).
"""
