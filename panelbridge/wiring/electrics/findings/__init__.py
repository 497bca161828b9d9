"""What is electrically wrong with a panel, in words, with its place in the panel file."""
