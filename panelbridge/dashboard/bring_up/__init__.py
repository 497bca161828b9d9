"""The screen of a bring-up: the question in large, the parts with their marks, the live pins."""
