"""Landing gear: handle, selection, power, legs, doors and their lamps."""
