"""The live loop: one owner thread does I/O and logic and publishes frozen snapshots."""
