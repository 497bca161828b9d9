"""Lock of a tail wheel or nose wheel: one push locks it straight, the next lets it swivel."""
