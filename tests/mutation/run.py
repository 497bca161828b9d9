"""Mutation testing of ``panelbridge/logic``; README.md beside this says how to run it.

    python -m tests.mutation.run                       every mutant (some hours)
    python -m tests.mutation.run --sample 600          so many at random, over all modules
    python -m tests.mutation.run --module brakes legs  every mutant of some modules or folders
    python -m tests.mutation.run --again               those that have survived so far
    python -m tests.mutation.run --report              the table of what is known

It works in ``build/mutation`` (or ``--work``), a copy: the project itself is never changed.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import subprocess
import sys
from collections import Counter, defaultdict
from dataclasses import asdict
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
LOGIC = Path("panelbridge/logic")
COPIED = ("panelbridge", "tests", "configs", "firmware_examples", "pyproject.toml", "README.md")
TESTS = ("tests/logic", "tests/published", "tests/bench", "tests/config", "tests/test_feeds.py")
LEFT_OUT = (
    "tests/logic/test_chart_lint.py",  # reads the source, and finds the copies of the functions
    "tests/logic/test_whole_*",
)
COLD_TESTS = (
    "tests/logic/test_names.py",
    "tests/logic/test_inventory.py",
    "tests/logic/test_story.py",
)
"""Asked of a mutant at import, beside those of its own module: a process of its own is slow."""
KILLED = ("killed", "timeout", "crashed")


def main() -> None:
    """Run it."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--work", type=Path, default=ROOT / "build" / "mutation")
    asked.add_argument("--sample", type=int)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--module", nargs="+", default=[])
    asked.add_argument("--again", action="store_true")
    asked.add_argument("--report", action="store_true")
    asked.add_argument("--budget", type=float, default=60.0, help="of tests for a mutant, CPU s")
    asked.add_argument("--tests", nargs="+", default=list(TESTS))
    options = asked.parse_args()
    work: Path = options.work.resolve()
    mutants = prepared(work)
    known = results_of(work, mutants)
    if not options.report:
        chosen = list(mutants.values())
        if options.module:
            folders = tuple(f"{name}." for name in options.module)
            chosen = [one for one in chosen if f"{one['module']}.".startswith(folders)]
        if options.sample:
            chosen = random.Random(options.seed).sample(chosen, min(options.sample, len(chosen)))
        if options.again:
            alive = {name for name, told in known.items() if told["verdict"] not in KILLED}
            chosen = [one for one in chosen if one["name"] in alive]
        else:
            chosen = [one for one in chosen if one["name"] not in known]
        print(f"{len(mutants)} mutants, {len(chosen)} to try", flush=True)
        if chosen:
            tried(work, chosen, options.tests, options.budget)
        known = results_of(work, mutants)
    report(mutants, known)


def prepared(work: Path) -> dict[str, dict[str, Any]]:
    """Bring the copy up to date: all mutants by name."""
    work.mkdir(parents=True, exist_ok=True)
    for name in COPIED:
        source, target = ROOT / name, work / name
        if source.is_file():
            shutil.copy2(source, target)
        for path in source.rglob("*"):
            inside = path.relative_to(ROOT)
            if not path.is_file() or "__pycache__" in inside.parts:
                continue
            if LOGIC in inside.parents and path.suffix == ".py":
                continue  # its mutated copy is made below
            there = work / inside
            if not there.exists() or there.stat().st_mtime_ns != path.stat().st_mtime_ns:
                there.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(path, there)
    for path in (work / LOGIC).rglob("*.py"):
        if not (ROOT / path.relative_to(work)).exists():
            path.unlink()
    from tests.mutation import mutants as made

    made.with_properties()
    found: dict[str, dict[str, Any]] = {}
    for module in sorted((ROOT / LOGIC).rglob("*.py")):
        inside = module.relative_to(ROOT)
        name = ".".join(inside.with_suffix("").parts).removesuffix(".__init__")
        target, listed = work / inside, work / "mutants" / f"{name}.json"
        target.parent.mkdir(parents=True, exist_ok=True)
        listed.parent.mkdir(exist_ok=True)
        text = module.read_text("utf-8")
        kept = json.loads(listed.read_text("utf-8")) if listed.exists() else {}
        if kept.get("source") != text:
            fresh = made.mutate(module, target, name)
            kept = {"source": text, "mutants": [{**asdict(m), "module": m.module} for m in fresh]}
            listed.write_text(json.dumps(kept), "utf-8")
        found |= {one["name"]: one for one in kept["mutants"]}
    return found


def results_of(work: Path, mutants: dict[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """The last verdict on each mutant, unless its function has changed since."""
    known: dict[str, dict[str, Any]] = {}
    path = work / "results.jsonl"
    for line in path.read_text("utf-8").splitlines() if path.exists() else []:
        told = json.loads(line)
        if told["name"] in mutants and mutants[told["name"]]["diff"] == told["diff"]:
            known[told["name"]] = told
    return known


def tried(work: Path, chosen: list[dict[str, Any]], tests: list[str], budget_s: float) -> None:
    """Try mutants, in forks; those of functions that run at import in processes of their own."""
    command = [sys.executable, "-m", "pytest", "-q", "-p", "tests.mutation.forks"]
    command += ["-p", "no:cacheprovider", "--hypothesis-seed=0", f"--rootdir={work}"]
    command += [f"--ignore-glob={work}/{path}" for path in LEFT_OUT]
    env = {**os.environ, "PYTHONPATH": str(work), "PYTHONDONTWRITEBYTECODE": "1"}
    (work / "order.json").write_text(json.dumps({"mutants": chosen, "budget_s": budget_s}), "utf-8")
    forked = {**env, "PANELBRIDGE_MUTATION": str(work)}
    subprocess.run([*command, *tests], cwd=work, env=forked, check=True)
    names = {one["name"] for one in chosen}
    results = work / "results.jsonl"
    for line in results.read_text("utf-8").splitlines()[-len(chosen) :]:
        told = json.loads(line)
        if told["name"] in names and told["at_import"] and told["verdict"] not in KILLED:
            cold = {**env, "PANELBRIDGE_MUTANT": told["name"]}
            parts = told["module"].split(".")
            own = sorted(p for m in parts for p in (work / "tests/logic").rglob(f"test_{m}*.py"))
            asked = [*command, "-x", *map(str, own), *COLD_TESTS]
            ended = subprocess.run(asked, cwd=work, env=cold, check=False, capture_output=True)
            told["verdict"] = "killed" if ended.returncode else "survived"
            if ended.returncode:  # tests that fail without it too say nothing of it
                subprocess.run(asked, cwd=work, env=env, check=True, stdout=subprocess.DEVNULL)
            told["at_import"] = False
            with results.open("a", encoding="utf-8") as out:
                out.write(json.dumps(told) + "\n")


def report(mutants: dict[str, dict[str, Any]], known: dict[str, dict[str, Any]]) -> None:
    """Print the table by module, then every survivor."""
    all_of = Counter(one["module"] for one in mutants.values())
    verdicts: dict[str, Counter[str]] = defaultdict(Counter)
    for told in known.values():
        verdicts[told["module"]][told["verdict"]] += 1
    print(f"{'module':28} {'mutants':>7} {'tried':>6} {'killed':>6}  alive")
    for module, count in sorted(all_of.items()):
        tried_here = verdicts[module].total()
        killed = sum(verdicts[module][word] for word in KILLED)
        print(f"{module:28} {count:7} {tried_here:6} {killed:6}  {tried_here - killed}")
    dead = sum(told["verdict"] in KILLED for told in known.values())
    share = 100 * dead / len(known) if known else 0.0
    print(
        f"{'all':28} {len(mutants):7} {len(known):6} {dead:6}  {len(known) - dead} ({share:.1f} %)"
    )
    for told in sorted(known.values(), key=lambda told: str(told["name"])):
        if told["verdict"] not in KILLED:
            print(f"\n{told['name']}: {told['verdict']}\n{told['diff']}")


if __name__ == "__main__":
    main()
