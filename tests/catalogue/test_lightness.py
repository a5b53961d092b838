"""A look-up by name reads names alone: no YAML, no figures, no search for near names."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

PROGRAM = """
import json, sys
from panellint.catalogue import load
match = load().lookup("deboned chicken")
light = sorted(name for name in ("yaml", "rapidfuzz", "pydantic", "numpy") if name in sys.modules)
figures = "_figure_data" in vars(load())
match.known.range_of("protein")
print(json.dumps([match.known.id, light, figures, "_figure_data" in vars(load())]))
"""


def test_a_lookup_from_the_cache_loads_nothing_heavy(tmp_path: Path) -> None:
    environment = {**os.environ, "PANELLINT_CACHE": str(tmp_path)}
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM],
            capture_output=True,
            text=True,
            env=environment,
            check=True,
        )
    assert json.loads(done.stdout) == ["chicken", [], False, True]
