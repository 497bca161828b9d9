"""What can be broken in a run whose boards are all simulated, from its screen."""
