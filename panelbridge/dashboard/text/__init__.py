"""Lines of styled text, and the words for every state. Nothing here needs a terminal."""
