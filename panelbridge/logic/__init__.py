"""The aircraft's systems. Pure: no port, socket, file, YAML, thread or wall clock.

Other rooms use::

    aircraft.AircraftParameters   the whole aircraft file: its groups are declared by the systems
    panel_logic.PanelLogic        one step from inputs to outputs; save() and restore(); reasons
    inventory                     switches, lamps, gauges, values and faults of an aircraft, by name
    vocabulary                    every signal by name, with its unit, its words and how it is read
    aircraft_values               the aircraft's values: the world outside, a line each
    systems                       the order of the systems, every switch, every event
    kit/                          what systems stand on: declarations, rules, conditions, charts

The other folders are one system each: ``parameters``, ``facts``, ``system``, and its rules.
"""
