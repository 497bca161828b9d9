"""Snapshots of a run, published to other screens, and read there.

A run's engine hands each snapshot as one loopback datagram to a process of its own (``publication``
starts it, ``publisher`` is it), which fans it out to viewers; ``viewer_link`` is a viewer's end.
What travels: ``codec`` (snapshots as JSON), ``datagrams`` (engine to publisher), ``greeting`` (who
may see it). ``run_files`` is how a viewer of the same user finds a run. ``browser`` serves a viewer
to browsers. Nothing is imported here: the publisher's process starts without what it does not need.
"""
