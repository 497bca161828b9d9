"""What the bytes of a simulator mean, a class for each format, and how a stream is cut up."""
