"""Ratios for the catalogue, printed; run as `python tests/benchmarks/catalogue.py`.

Loading from the cache against importing yaml, each in its own process, for a listed name and for
one that is composed; compiling against reading the same YAML; a look-up of a known name against
its folding and one dict look-up; an unknown name of eight times the words.
"""

from __future__ import annotations

import subprocess
import sys
import timeit

LOAD = """
import time, json, hashlib, tempfile, pathlib, functools, unicodedata, dataclasses, typing
import panellint.core.files, panellint.catalogue.model
start = time.perf_counter()
from panellint.catalogue import load
load().lookup({name!r})
print(time.perf_counter() - start)
"""
YAML = """
import time
start = time.perf_counter()
import yaml
print(time.perf_counter() - start)
"""
COMPILE = """
import time
from panellint.catalogue import compile, files
start = time.perf_counter()
for path in dict.fromkeys((*files.name_inputs(), *files.figure_inputs())):
    if path.suffix == ".yaml":
        files.read(path)
read = time.perf_counter()
compile.names()
compile.figures()
print((time.perf_counter() - read) / (read - start) if {ratio} else time.perf_counter() - start)
"""


def best(program: str, times: int = 9) -> float:
    """The least figure that a program prints over some runs."""
    runs = [
        subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
        for _ in range(times)
    ]
    return min(float(run.stdout) for run in runs)


def main() -> None:
    from panellint.catalogue import load
    from panellint.core.text import fold_name

    catalogue = load()
    importing = best(YAML)
    print(f"import yaml       {importing * 1000:6.2f} ms")
    for name in ("chicken", "freeze-dried bison lung"):
        loading = best(LOAD.format(name=name))
        print(f"load, {name:24} {loading * 1000:6.2f} ms   ratio {loading / importing:.2f}")
    whole = best(COMPILE.format(ratio=False), 3)
    print(f"compile           {whole:6.2f} s    ratio {best(COMPILE.format(ratio=True), 3):.2f}")
    name = "Dehydrated Chicken"
    table = catalogue.table("en")
    looking = min(timeit.repeat(lambda: catalogue.lookup(name), number=20000, repeat=5))
    folding = min(timeit.repeat(lambda: table.get(fold_name(name)), number=20000, repeat=5))
    print(f"look-up           {looking / 20000 * 1e6:6.2f} us")
    print(f"fold and dict     {folding / 20000 * 1e6:6.2f} us   ratio {looking / folding:.2f}")
    short, long = (min(_unknown(catalogue, count) for _ in range(5)) for count in (400, 3200))
    print(f"unknown, 400 words {short * 1e6:5.0f} us; 8 times the words: ratio {long / short:.2f}")


def _unknown(catalogue: object, words: int) -> float:
    """Seconds for one look-up of a name of so many words that is met for the first time."""
    import secrets

    name = " ".join(["organic dried"] * (words // 2)) + secrets.token_hex(4)
    return timeit.timeit(lambda: catalogue.lookup(name), number=1)  # type: ignore[attr-defined]


if __name__ == "__main__":
    main()
