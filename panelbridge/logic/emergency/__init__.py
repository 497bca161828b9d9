"""Emergency extension of the gear: air bottle, free fall or hand pump."""
