"""Cold-weather routine: slush after a take-off, ice on the brakes before a landing."""
