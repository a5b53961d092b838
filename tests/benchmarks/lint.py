"""How much more `lint` costs than what it cannot do without, as ratios of one run.

Times are processor time, so that a busy machine changes little.

1. `lint` in process over the labels of LABELS against lark alone over their declarations: lark's
   LALR parser with its own lexer and nothing of this package, over the frozen grammar beside this
   file. With the rules that the aim of at most 4 was set for (names against shares, split
   ingredients, completeness, guarantees and calorie line of the US and practice packs), with all
   rules that there are, and with the solver;
2. the cold command on one file against a bare `python -c "import lark, click, yaml, rapidfuzz"`
   (aim: at most 2);
3. 2,000 labels against 200 (aim: at most 10.5).
"""

from __future__ import annotations

import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from lark import Lark

from panellint.core.source import Source, read
from panellint.lint.engine import lint
from panellint.rulepacks import registry
from panellint.rulepacks.model import Change
from panellint.rulepacks.settings import Settings

#: The checks of the rules that the first aim was set for, by group.
FIRST = frozenset(
    # the name's promises against the declaration
    "named-share named-order named-declared named-percentage"
    # split ingredients; complete, or a topper
    " split-family nutrient-sources adequacy-missing adequacy-contradiction adequacy-stage"
    " adequacy-species"
    # guarantees and calorie line
    " guarantee-missing guarantee-order guarantee-bound guarantee-sum guarantee-figures"
    " moisture-ceiling calorie-line calorie-figure calorie-from-guarantees calorie-unit-weight"
    # the text itself
    " text-fault declaration-missing unknown-name misspelt-name".split()
)
CORPUS = Path(__file__).parents[2] / "corpus"
GRAMMAR = Path(__file__).with_name("declaration.lark")
#: The labels that are linted; frozen with the grammar.
LABELS = """
    beef-carrot-dehydrated beef-chunks-gravy-uk beef-frozen-raw beef-percentages-raw
    beef-with-cheese-can cat-soft-propylene-glycol chicken-barley-kibble chicken-canada-bilingual
    chicken-loaf-kitten chicken-swapped-guarantees duck-kibble-eu-faulty duck-millet-freeze-dried
    duck-no-by-products-can lamb-kibble-eu lamb-stew-gravy mixed-tray-cat-eu peanut-oat-biscuit
    rabbit-soft-senior salmon-light-kibble salmon-missing-cat-kibble
""".split()
_DECLARATION = re.compile(
    r"^(?:ingredients|composition)[^\n:]*:(.*?)(?=\n\s*\n|\Z|\n[A-Z][\w ()]+:)",
    re.IGNORECASE | re.DOTALL | re.MULTILINE,
)


def best(run: Callable[[], object], times: int = 7) -> float:
    """The shortest of several runs, in seconds of processor time."""
    found = []
    for _ in range(times):
        start = time.process_time()
        run()
        found.append(time.process_time() - start)
    return min(found)


def few(settings: Settings) -> Settings:
    """The same settings with the rules of FIRST alone."""
    assert set(registry.names()) >= FIRST, "a check of the first rules has another name now"
    off = {
        rule.id: Change(severity="off")
        for rule in settings.rules.values()
        if rule.check not in FIRST or rule.pack not in ("us", "practice")
    }
    return replace(settings, changes={**settings.changes, **off})


def in_process() -> tuple[float, float, float]:
    """`lint` over the labels against lark alone over their declarations: quick with the rules of
    FIRST, quick with all rules, and with all rules and the solver."""
    sources = [read(CORPUS / f"{name}.panel") for name in LABELS]
    every = [Settings.for_path(source.path) for source in sources]
    made = {id(one): few(one) for one in every}
    first = [made[id(one)] for one in every]
    texts = []
    for source in sources:
        found = _DECLARATION.search(source.text)
        assert found, f"{source.path} has no declaration that this benchmark can cut out"
        texts.append(found.group(1).strip())
    parser = Lark(
        GRAMMAR.read_text(encoding="utf-8"), parser="lalr", lexer="basic", maybe_placeholders=False
    )

    def bare() -> None:
        for text in texts:
            parser.parse(text)

    def ours(settings: list[Settings], quick: bool) -> Callable[[], None]:
        def run() -> None:
            for source, own in zip(sources, settings, strict=True):
                lint(Source(source.text, source.path), own, quick=quick)

        run()
        return run

    base = best(bare)
    return (
        best(ours(first, True)) / base,
        best(ours(every, True)) / base,
        best(ours(every, False)) / base,
    )


def cold() -> float:
    """The command on one file against the bare imports: processor time, medians of interleaved
    runs, both with their bytecode compiled beforehand."""
    file = str(CORPUS / "duck-millet-freeze-dried.panel")
    command = [sys.executable, "-m", "panellint", "lint", "--quick", file]
    bare = [sys.executable, "-c", "import lark, click, yaml, rapidfuzz"]
    ours, theirs = [], []
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": folder}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        for _ in range(2):
            for argv in (command, bare):
                subprocess.run(argv, capture_output=True, check=False, env=environment)
        for _ in range(15):
            for argv, found in ((command, ours), (bare, theirs)):
                before = resource.getrusage(resource.RUSAGE_CHILDREN)
                subprocess.run(argv, capture_output=True, check=False, env=environment)
                after = resource.getrusage(resource.RUSAGE_CHILDREN)
                found.append(after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
    return statistics.median(ours) / statistics.median(theirs)


def growth() -> float:
    """2,000 labels against 200 of the same kind, in one process."""
    text = read(CORPUS / "duck-millet-freeze-dried.panel").text
    settings = Settings()

    def many(count: int) -> Callable[[], None]:
        def run() -> None:
            for number in range(count):
                lint(Source(text, f"{number}.panel"), settings, quick=True)

        return run

    many(20)()
    # Ten times 200 take as long as 2,000, so that a busy moment falls on both alike.
    ratios = []
    for _ in range(3):
        lots = best(many(2000), 1)
        ratios.append(10 * lots / sum(best(many(200), 1) for _ in range(10)))
    return statistics.median(ratios)


if __name__ == "__main__":
    first, quick, whole = in_process()
    print(f"lint --quick, rules of the aim / bare lark parse: {first:6.2f}  (aim 4)")
    print(f"lint --quick, all rules / bare lark parse:        {quick:6.2f}")
    print(f"lint with the solver, all rules / bare parse:     {whole:6.2f}")
    print(f"cold command / bare imports:                      {cold():6.2f}  (aim 2)")
    print(f"2,000 labels / 200 labels:                        {growth():6.2f}  (aim 10.5)")
