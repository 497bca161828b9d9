"""Between host and board: ``cable.Cable`` can be unplugged, ``line_faults`` damages its bytes."""
