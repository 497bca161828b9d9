"""Boards over serial: frames, messages, ports, sessions. The wire's specification is
``firmware_examples/PROTOCOL.md``.
"""
