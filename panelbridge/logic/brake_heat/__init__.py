"""Heat of the brakes: energy, temperature, fuse plugs, too hot to go."""
