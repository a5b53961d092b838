"""How much more `lint` costs than what it cannot do without, as ratios of one run.

Times are processor time, so that a busy machine changes little.

1. `lint` in process against the bare lark parse of the same declarations, with lark's own
   lexer over the same grammar (aim: at most 4);
2. the cold command on one file against a bare `python -c "import lark, click, yaml, rapidfuzz"`
   (aim: at most 2);
3. 2,000 labels against 200 (aim: at most 10.5).
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from lark import Lark

from panellint.label.brackets import MatchedBrackets
from panellint.label.declaration import GRAMMAR
from panellint.lint import lint
from panellint.settings import Settings
from panellint.source import Source, read

CORPUS = Path(__file__).parents[2] / "corpus"


def best(run: Callable[[], object], times: int = 7) -> float:
    """The shortest of several runs, in seconds of processor time."""
    found = []
    for _ in range(times):
        start = time.process_time()
        run()
        found.append(time.process_time() - start)
    return min(found)


def in_process(quick: bool) -> float:
    """`lint` over the corpus against lark alone over the same declarations."""
    sources = [read(path) for path in sorted(CORPUS.glob("*.panel"))]
    settings = [Settings.for_path(source.path) for source in sources]
    from panellint.case import Case

    texts = [
        case.source.slice(case.label.declaration_span)
        for case in (Case.of(source) for source in sources)
    ]
    parser = Lark(
        GRAMMAR.read_text(encoding="utf-8"),
        parser="lalr",
        lexer="basic",
        postlex=MatchedBrackets(),
        maybe_placeholders=False,
    )

    def bare() -> None:
        for text in texts:
            parser.parse(text)

    def whole() -> None:
        for source, chosen in zip(sources, settings, strict=True):
            lint(Source(source.text, source.path), chosen, quick=quick)

    whole()
    return best(whole) / best(bare)


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
    settings = Settings.default()

    def many(count: int) -> Callable[[], None]:
        def run() -> None:
            for number in range(count):
                lint(Source(text, f"{number}.panel"), settings, quick=True)

        return run

    many(20)()
    return best(many(2000), 2) / best(many(200), 3)


if __name__ == "__main__":
    print(f"lint --quick in process / bare lark parse:    {in_process(True):6.2f}  (aim 4)")
    print(f"lint in process / bare lark parse:            {in_process(False):6.2f}")
    print(f"cold command / bare imports:                  {cold():6.2f}  (aim 2)")
    print(f"2,000 labels / 200 labels:                    {growth():6.2f}  (aim 10.5)")
