"""Master warning and master caution, with their reset."""
