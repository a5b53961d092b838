"""A keystroke in a label of sixty entries, with a real client over the protocol.

The measure is the time from a change to the diagnostics of the fast rules, less the pause that
gathers keys; as a ratio to the same client's empty round trip (the folding of an empty label), and
in milliseconds for the eye: `python tests/benchmarks/keystroke.py`.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from pathlib import Path

from lsprotocol import types

from panellint.server.app import DEBOUNCE

sys.path.insert(0, str(Path(__file__).parents[1]))
from server.conftest import serving

NAMES = (
    "duck, chicken meal, brown rice, peas, oats, millet, flaxseed, pumpkin, dried egg, salt, "
    "taurine, carrots, blueberries, spinach, kelp, zinc sulfate, niacin, biotin, lentils, lecithin"
)
LABEL = (
    "Product name: Quillbrook Larder Duck Dinner for Dogs\n"
    f"Ingredients: {NAMES}, {NAMES.replace('duck', 'quail')}, {NAMES.replace('duck', 'rabbit')}\n"
    "Guaranteed analysis\n  Crude protein (min.) 26.0%\n  Crude fat (min.) 14.0%\n"
    "  Crude fiber (max.) 5.0%\n  Moisture (max.) 10.0%\n"
)
KEYS = 120


async def measured() -> None:
    with tempfile.TemporaryDirectory() as folder:
        async with serving(Path(folder)) as editor:
            empty = editor.open("empty.panel", "")
            uri = editor.open("label.panel", LABEL)
            await editor.told(uri, 1, lambda found: True)
            trips, keys = [], []
            for number in range(KEYS):
                start = time.perf_counter()
                await editor.client.text_document_folding_range_async(
                    types.FoldingRangeParams(types.TextDocumentIdentifier(empty))
                )
                trips.append(time.perf_counter() - start)
                version = number + 2
                start = time.perf_counter()
                editor.change(uri, LABEL.replace("kelp", f"kelp {'x' * number}", 1), version)
                await editor.told(uri, version, lambda found: True)
                keys.append(time.perf_counter() - start - DEBOUNCE)
    base = statistics.median(trips)
    for what, times in (("round trip", trips), ("keystroke, fast rules", keys)):
        p50, p95 = statistics.median(times), statistics.quantiles(times, n=20)[-1]
        print(
            f"{what:<22} p50 {p50 / base:6.1f} x, p95 {p95 / base:6.1f} x the round trip's p50"
            f"   ({1000 * p50:.1f}, {1000 * p95:.1f} ms)"
        )


if __name__ == "__main__":
    asyncio.run(measured())
