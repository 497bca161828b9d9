"""The log as a screen of its own: filtered, searched, saved."""
