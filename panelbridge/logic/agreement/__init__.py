"""Whether panel and simulator agree: the simulator's own handle, and the legs that it reports."""
