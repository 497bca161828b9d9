"""Aircraft data in, commands out."""
