"""``python -m tests.pictures``: the README's pictures again, or a gallery to look at."""

from __future__ import annotations

import argparse
import asyncio
from pathlib import Path

from tests.pictures.readme import FOLDER, PICTURES, renew


def main() -> None:
    """Make pictures."""
    parser = argparse.ArgumentParser(prog="python -m tests.pictures", description=__doc__)
    kinds = parser.add_subparsers(dest="kind")
    many = kinds.add_parser("gallery", help="every state and page, in every size")
    many.add_argument("folder", type=Path)
    many.add_argument("--no-browser", action="store_true", help="the terminal's pictures alone")
    given = parser.parse_args()
    if given.kind is None:
        written = asyncio.run(renew())
        print(f"{len(PICTURES)} pictures in {FOLDER}, {len(written)} of them new:")
        for path in written:
            print(f"  {path.name}: look at it before you commit it")
        return
    from tests.pictures.gallery import make_gallery

    asyncio.run(make_gallery(given.folder, browser=not given.no_browser))


if __name__ == "__main__":
    main()
