"""Keys of a link to a simulator: its transport, and the format of what it sends."""
