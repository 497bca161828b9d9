"""How bytes come from a simulator and go to it, a class for each medium; none of them blocks."""
