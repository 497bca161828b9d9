"""The parts that pages are made of: each function turns data into lines of text."""
