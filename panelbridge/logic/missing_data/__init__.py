"""Data that never came: what cannot work without it, and the fault that says so."""
