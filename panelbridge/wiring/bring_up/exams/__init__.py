"""One class for each kind of part: what is asked, what is seen, and what follows from it."""
