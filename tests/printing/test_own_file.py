"""Files of the program: never over another kind, never half, never in place of a device."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from panelbridge.errors import UsageError
from panelbridge.printing.own_file import FileKind, check_can_be_written, write_text

REPORT = FileKind("a report", "<report")
TEXT = "<report>\nline\n</report>\n"

posix = pytest.mark.skipif(os.name != "posix", reason="links, pipes and devices of POSIX")


def test_a_new_file_and_one_of_its_kind_are_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "out.xml"
    write_text(path, TEXT, REPORT)
    write_text(path, TEXT + "more\n", REPORT)
    assert path.read_bytes() == (TEXT + "more\n").encode()
    assert [one.name for one in tmp_path.iterdir()] == ["out.xml"]


def test_an_empty_file_is_of_every_kind(tmp_path: Path) -> None:
    path = tmp_path / "out.xml"
    path.touch()
    write_text(path, TEXT, REPORT)
    assert path.read_text() == TEXT


@pytest.mark.parametrize("content", ["name: my panel\n", " " * 1024 + TEXT, "\x00\xff"])
def test_another_kind_of_file_stays_as_it_is(tmp_path: Path, content: str) -> None:
    path = tmp_path / "panel.yaml"
    path.write_text(content)
    with pytest.raises(UsageError, match="is not a report of this program") as error:
        check_can_be_written(path, REPORT)
    assert error.value.where == str(path)
    with pytest.raises(UsageError, match="is not a report of this program"):
        write_text(path, TEXT, REPORT)
    assert path.read_text() == content


@posix
def test_a_link_is_written_through(tmp_path: Path) -> None:
    target, link = tmp_path / "target.xml", tmp_path / "link.xml"
    target.write_text(TEXT)
    link.symlink_to(target)
    write_text(link, TEXT + "more\n", REPORT)
    assert link.is_symlink()
    assert target.read_text() == TEXT + "more\n"
    target.write_text("name: my panel\n")
    with pytest.raises(UsageError, match="is not a report"):
        write_text(link, TEXT, REPORT)
    dangling = tmp_path / "dangling.xml"
    dangling.symlink_to(tmp_path / "new.xml")
    write_text(dangling, TEXT, REPORT)
    assert (tmp_path / "new.xml").read_text() == TEXT


@posix
def test_a_device_is_written_to_and_a_pipe_is_refused(tmp_path: Path) -> None:
    write_text(Path("/dev/null"), TEXT, REPORT)
    assert Path("/dev/null").is_char_device()
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(UsageError, match="this is not a file that can be written"):
        write_text(pipe, TEXT, REPORT)
    if Path("/dev/full").exists():
        with pytest.raises(UsageError, match="No space left on device"):
            write_text(Path("/dev/full"), TEXT, REPORT)


def test_a_folder_and_a_missing_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="this is a folder"):
        check_can_be_written(tmp_path, REPORT)
    with pytest.raises(UsageError, match="the folder of this file is not there"):
        check_can_be_written(tmp_path / "none" / "out.xml", REPORT)
