"""A board in software: the real protocol behind a pyserial URL of our own, or on a pty.

For building and trying a panel with no hardware, and for making on the bench the faults that real
cables make at the worst time.

::

    SimBoard      core.py      a board: power, wires and program, on time that is handed in
    SimPanel      sim_panel.py all boards of a panel file, with hands on its switches
    LineFaults    faults.py    damaged, lost, doubled and late bytes, garbage, deaf, mute
    Wire          wire.py      a board on a cable that has faults and can be pulled
    simboard://   registry.py, protocol_simboard.py   a board as a port, on every system
    serve         command.py   ``panelbridge simboard``: a board on a pty (Linux, macOS)

As a port in the same process::

    board = SimBoard("mega2560")
    entry = register("bench", board, clock, LineFaults(seed=1, values={"drop": 0.01}))
    port = open_port(entry.url, 250_000)  # or serial.serial_for_url("simboard://bench")
    board.set_contact(clock.now(), "D22", closed=True)
    entry.wire.unplug(clock.now(), for_s=2.0)
    unregister("bench")

A port that was unplugged stays dead, as a real one does: close it and open it again. Opening tells
by ``errno`` what is wrong: ``ENOENT`` no such board or unplugged, ``EBUSY`` open already. A pty is
raw, drops what the board says while nobody has it open, and is a new one after an unplug.

What it models: the protocol with all its rules, time-outs and refusals; what each pin of each kind
of board can do; pull-up resistors, contacts that bounce and their debouncing; noisy voltages; the
handle's travel between its contacts; broken switches; dimming, the horn's pattern, servo pulses;
boards that reset when their port is opened; a cable that is pulled and takes the power with it.

What it does not: electrical noise and currents, the chip between USB and serial line, the speed of
the line (bytes arrive at once unless a fault delays them), a board that is too slow, and real time:
it lives when its port is looked at, on the clock that it is given.
"""
