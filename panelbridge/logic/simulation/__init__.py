"""The time of the simulation: paused, faster or slower than the run's, and what was skipped."""
