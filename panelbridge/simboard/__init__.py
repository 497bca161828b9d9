"""A board in software: the real protocol behind a pyserial URL of our own, or on a pty."""
