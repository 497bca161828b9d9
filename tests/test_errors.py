from __future__ import annotations

from panelbridge import errors
from panelbridge.errors import (
    MAX_SHOWN,
    ConfigError,
    ConfigProblem,
    LinkLost,
    PanelbridgeError,
    PortBusy,
)


def test_an_error_says_what_where_and_what_to_do() -> None:
    error = PortBusy("the port is in use", where="COM5", hint="close the other program")
    assert str(error) == "COM5: the port is in use\n    close the other program"
    assert str(LinkLost("the board fell silent")) == "the board fell silent"


def test_a_config_error_lists_all_mistakes_in_the_order_of_the_file() -> None:
    late = ConfigProblem("a.yaml", 9, 3, "no such pin 'D99'", "did you mean 'D9'?")
    early = ConfigProblem("a.yaml", 2, 1, "unknown key 'bord'")
    error = ConfigError([late, early])
    assert str(error) == (
        "a.yaml:2:1: unknown key 'bord'\na.yaml:9:3: no such pin 'D99'\n    did you mean 'D9'?"
    )
    assert (error.what, error.where) == ("unknown key 'bord'", "a.yaml:2:1")


def test_a_file_that_can_not_be_read_has_no_line() -> None:
    assert ConfigProblem("gone.yaml", 0, 0, "no such file").where == "gone.yaml"


def test_the_tree_in_the_docstring_names_every_error_at_its_place() -> None:
    drawn = errors.__doc__ or ""
    found = 0
    for name, kind in vars(errors).items():
        if isinstance(kind, type) and issubclass(kind, PanelbridgeError):
            line = next(row for row in drawn.splitlines() if name in row.split())
            depth = len(kind.mro()) - len(PanelbridgeError.mro())
            indent = line.index(name) // 4 - 1  # the whole drawing stands four in
            assert indent == depth, f"{name} is drawn at depth {indent}, it is at {depth}"
            found += 1
    assert found == 14


def test_a_long_list_is_cut_and_says_how_many_more_there_are() -> None:
    problems = [ConfigProblem("f", line, 1, "wrong") for line in range(1, MAX_SHOWN + 4)]
    lines = str(ConfigError(problems)).splitlines()
    assert len(lines) == MAX_SHOWN + 1
    assert lines[-1] == "... and 3 more"
    assert str(ConfigError(problems[:MAX_SHOWN])).splitlines()[-1] == f"f:{MAX_SHOWN}:1: wrong"


def test_warnings_stand_before_errors() -> None:
    warning = ConfigProblem("f", 9, 1, "slow", "Write 5", is_warning=True)
    error = ConfigError([ConfigProblem("f", 1, 1, "wrong"), warning])
    assert str(error) == "f:9:1: warning: slow\n    Write 5\nf:1:1: wrong"
    assert error.what == "wrong"
