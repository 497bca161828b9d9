"""The commands with their options, by theme; the work is done elsewhere."""
