"""What the everyday run leaves to the thorough one: most examples, most of what is alike."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import settings

ALL = 100
"""What a profile says that draws all examples: Hypothesis's own number."""
FEWEST = 3


def examples(most: int) -> int:
    """``most`` where the chosen profile draws all examples, and its part of them where not."""
    return min(most, max(FEWEST, most * settings().max_examples // ALL))


def few_of(cases: Iterable[object], everyday: int = 1) -> list[object]:
    """Cases of one parameter that are alike: all but the first are left to the thorough run."""
    return [
        pytest.param(case, marks=pytest.mark.thorough if at >= everyday else ())
        for at, case in enumerate(cases)
    ]
