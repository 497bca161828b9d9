"""The lock of the gear handle: a solenoid that holds it down on the ground."""
