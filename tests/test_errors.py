from __future__ import annotations

from panelbridge import errors
from panelbridge.errors import ConfigError, ConfigProblem, LinkLost, PanelbridgeError, PortBusy


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
    assert found == 13
