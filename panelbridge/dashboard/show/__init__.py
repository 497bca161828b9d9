"""A run as a show: the panel that F8 opens, and the line on every page that says what it does."""
