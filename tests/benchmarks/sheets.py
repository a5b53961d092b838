"""How long the largest workbook takes that is read at all, against openpyxl's plain reading of it.

python tests/benchmarks/sheets.py
"""

from __future__ import annotations

import resource
import tempfile
from pathlib import Path
from time import process_time

from openpyxl import Workbook, load_workbook

from panellint.maker.batch import read_batch
from panellint.maker.sheet.cells import most

HEADINGS = ("Ingredient", "kg", "Lot", "Supplier", "Protein %", "Fat %", "Moisture %", "Price")


def main() -> None:
    """Prints both times, their ratio and the memory of the process."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "largest.xlsx"
        book = Workbook(write_only=True)
        sheet = book.create_sheet("Formula")
        sheet.append(HEADINGS)
        for at in range(most("cells") // len(HEADINGS) - 1):
            sheet.append([f"food {at}", 1.5 + at % 7, f"L{at}", "Harrow", 10.5, 3.2, 70.1, 1.2])
        book.save(path)
        start = process_time()
        plain = load_workbook(path, read_only=True)
        rows = sum(1 for _ in plain["Formula"].iter_rows(values_only=True))
        plain_time = process_time() - start
        start = process_time()
        lines = len(read_batch(path).lines)
        own_time = process_time() - start
        size = path.stat().st_size
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{size:,} bytes, {rows:,} rows, {lines:,} lines, {memory:.0f} MB")
    print(f"openpyxl {plain_time:.2f} s, read_batch {own_time:.2f} s: {own_time / plain_time:.1f}")


if __name__ == "__main__":
    main()
