"""The five pages, the help, and how the rows of the screen are shared."""
