"""All that leaves the program as text: the console and the files that it writes.

Every line that is printed goes through ``clean_text``; a console or a file that is slow, full or
closed costs lines and never the work.
"""

from panelbridge.printing.clean_text import clean_line, clean_text, shown_path
from panelbridge.printing.console import ask, console_writer, end_output, say, say_at_most
from panelbridge.printing.line_writer import LineWriter
from panelbridge.printing.own_file import (
    FileKind,
    cannot_write,
    check_can_be_written,
    in_place_of,
    write_text,
)
from panelbridge.printing.signs import chosen_encoding, shown_in

__all__ = [
    "FileKind",
    "LineWriter",
    "ask",
    "cannot_write",
    "check_can_be_written",
    "clean_line",
    "clean_text",
]
__all__ += ["console_writer", "end_output", "in_place_of", "say", "say_at_most", "shown_path"]
__all__ += ["chosen_encoding", "shown_in", "write_text"]
