"""A link to a simulator: from a feed file's keys to aircraft data in and commands out."""
