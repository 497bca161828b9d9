"""The command ``wiring``: from a panel file to the files that a builder wires from."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from panelbridge.config.load import load_panel
from panelbridge.errors import UsageError
from panelbridge.printing import FileKind, check_can_be_written, say, write_text
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.board_sheet import sheet_files
from panelbridge.wiring.sheet.drawing.page import SHEET_MARK
from panelbridge.wiring.sheet.pages.html_page import PAGE_MARK, html_page
from panelbridge.wiring.sheet.pages.tables import TextTable, current_table, parts_table, pin_table
from panelbridge.wiring.sheet.problems import problem_boxes

FORMS = ("html", "svg", "csv", "md")
_HTML = FileKind("a wiring page", PAGE_MARK)
_SVG = FileKind("a wiring sheet", SHEET_MARK)
_MARKDOWN = FileKind("tables of wiring", f"<!-- {PAGE_MARK} -->")


def wiring_command(panel: Path, form: str, output: Path | None, dated: str) -> int:
    """Write the wiring of a panel file and name the files.

    Args:
        panel: the panel file.
        form: one of ``FORMS``.
        output: the file for html and md, the folder for svg and csv; None for the folder where the
            command runs.
        dated: a date for the pages; empty for none.

    Raises:
        UsageError: another form, or a file that cannot be written.
        ConfigError: an error in the panel file.
    """
    if form not in FORMS:
        raise UsageError(f"there is no form '{form}'", "--format", f"Choose of {', '.join(FORMS)}")
    wired = wired_panel(load_panel(panel).panel)
    files = list(_files(wired, form, panel.stem, output, dated))
    for path, _, kind in files:
        check_can_be_written(path, kind)
    for path, text, kind in files:
        write_text(path, text, kind)
        say(f"wrote {path}")
    return 0


def _files(
    wired: WiredPanel, form: str, stem: str, output: Path | None, dated: str
) -> Iterator[tuple[Path, str, FileKind]]:
    """Where each file goes, what is in it and of which kind it is."""
    if form in ("html", "md"):
        path = output or Path(f"{stem}_wiring.{form}")
        text = html_page(wired, dated=dated) if form == "html" else _markdown(wired, dated)
        yield path, text, _HTML if form == "html" else _MARKDOWN
        return
    folder = output or Path()
    if not folder.is_dir():
        raise UsageError("there is no such folder", str(folder), "Make it first")
    if form == "svg":
        for name, svg in sheet_files(wired, dated):
            yield folder / f"{stem}_{name}.svg", svg, _SVG
    else:
        for table in _tables(wired):
            kind = FileKind(f"a table of {table.name}", ",".join(table.columns))
            yield folder / f"{stem}_{table.name}.csv", table.csv(), kind


def _tables(wired: WiredPanel) -> tuple[TextTable, ...]:
    return pin_table(wired), current_table(wired), parts_table(wired)


def _markdown(wired: WiredPanel, dated: str) -> str:
    head = f"# {wired.panel.name}: wiring\n\n<!-- {PAGE_MARK} -->\n"
    under = f"\n{dated}\n" if dated else ""
    boxes = "".join(
        f"\n## {box.title}\n\n" + "".join(f"- {text}\n" for text in box.texts)
        for box in problem_boxes(wired)
    )
    return head + under + boxes + "".join(f"\n{table.markdown()}" for table in _tables(wired))
