"""Ratios for the catalogue, printed; run as `python tests/benchmarks/catalogue.py`.

Loading from the cache against importing yaml, each in its own process; a look-up of a known
name against its folding and one dict look-up.
"""

from __future__ import annotations

import subprocess
import sys
import timeit

LOAD = """
import time, json, hashlib, tempfile, pathlib, functools, unicodedata, dataclasses, typing
import panellint.core.paths, panellint.catalogue.model
start = time.perf_counter()
from panellint.catalogue import load
load().lookup('chicken')
print(time.perf_counter() - start)
"""
YAML = """
import time
start = time.perf_counter()
import yaml
print(time.perf_counter() - start)
"""


def best(program: str, times: int = 9) -> float:
    """The least time that a program prints over some runs, in seconds."""
    runs = [
        subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
        for _ in range(times)
    ]
    return min(float(run.stdout) for run in runs)


def main() -> None:
    from panellint.catalogue import load
    from panellint.core.text import fold_name as fold

    catalogue = load()
    loading, importing = best(LOAD), best(YAML)
    print(f"load from cache   {loading * 1000:6.2f} ms")
    print(f"import yaml       {importing * 1000:6.2f} ms   ratio {loading / importing:.2f}")
    name = "Dehydrated Chicken"
    table = catalogue.table("en")
    looking = min(timeit.repeat(lambda: catalogue.lookup(name), number=20000, repeat=5))
    folding = min(timeit.repeat(lambda: table.get(fold(name)), number=20000, repeat=5))
    print(f"look-up           {looking / 20000 * 1e6:6.2f} us")
    print(f"fold and dict     {folding / 20000 * 1e6:6.2f} us   ratio {looking / folding:.2f}")


if __name__ == "__main__":
    main()
