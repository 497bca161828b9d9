"""Boards in software: the real protocol behind a pyserial URL of our own, or on a pty.

Other rooms use::

    sim_panel.SimPanel       all boards of a panel file, and hands that move its switches
    registry                 boards by name, for the port ``simboard://NAME``
    contacts/                contacts, bounce, debouncing, and hands; the bench uses them too
    board/                   ``SimBoard``: power, pins and program, on time that is passed in
    cable/                   ``Cable``, ``LineFaults``: unplugged, damaged, lost and late bytes
    serving/                 ``panelbridge simboard``: a board on a pty (Linux, macOS)

A board as a port in the same process::

    board = SimBoard("mega2560")
    entry = registry.register("gear", board, clock, LineFaults(seed=1, values={"drop": 0.01}))
    port = open_port(entry.url, 250_000)  # or serial.serial_for_url("simboard://gear")
    board.set_contact(clock.now(), "D22", closed=True)
    entry.cable.unplug(clock.now(), for_s=2.0)

Not modelled: electrical noise and currents, the chip between USB and serial line, the speed of the
line (bytes arrive at once unless a fault delays them), a board that is too slow. A board advances
only when its port is used, on the clock that it is given.
"""

__all__ = ["board", "cable", "contacts", "registry", "serving", "sim_panel"]
