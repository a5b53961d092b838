"""What a report of fifty labels costs beside the shares of the same fifty, in one run.

Aim: at most three times. The page of the largest label is told too (aim: below 200 kB).
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from itertools import cycle, islice
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from panellint.analysis.context import LabelContext  # noqa: E402
from panellint.analysis.shares_report import shares  # noqa: E402
from panellint.core.source import Source  # noqa: E402
from panellint.core.source import read as text_of  # noqa: E402
from panellint.report.page import page as page_of  # noqa: E402
from panellint.report.reading import read, single  # noqa: E402

LABELS = 50
AIM = 3.0


def fifty() -> list[Source]:
    """Fifty labels: those of the corpus, and again from the first until there are enough."""
    paths = sorted((ROOT / "corpus").glob("*.panel"))
    return [text_of(path) for path in islice(cycle(paths), LABELS)]


def timed(run: Callable[[], object]) -> float:
    """Processor seconds of one run."""
    start = time.process_time()
    run()
    return time.process_time() - start


def main() -> None:
    """Print the ratio."""
    sources = fifty()
    shares(LabelContext.of(sources[0]))  # caches and imports are nobody's cost
    read(LabelContext.of(sources[0]))
    base = timed(lambda: [shares(LabelContext.of(source)) for source in sources])
    pages: list[str] = []

    def report() -> None:
        pages.extend(page_of(single(read(LabelContext.of(one)), "today")) for one in sources)

    whole = timed(report)
    print(f"shares of {LABELS} labels: {base:.1f} s")
    print(f"report of the same: {whole:.1f} s, {whole / base:.2f} times (aim: {AIM:g} at most)")
    largest = max(len(page.encode()) for page in pages)
    print(f"the largest page: {largest / 1000:.0f} kB (aim: below 200)")


if __name__ == "__main__":
    main()
