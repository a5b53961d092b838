"""Whatever arrives, there is an answer or a clear error, and never a crash."""

from __future__ import annotations

import os
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from panellint import api
from panellint.core.errors import InputError, PanellintError
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.maker.batch import read_batch
from panellint.rulepacks.compile.packs import compile_packs
from panellint.rulepacks.compile.settings import compile_settings
from panellint.rulepacks.data import PACK_FOLDERS
from panellint.rulepacks.packs import pack_files

from .texts import HOSTILE, mutated, text_of

ORDINARY = 150
#: Texts of the long run, and the first seed: a run can be parted over processes.
LONG = int(os.environ.get("PANELLINT_FUZZ_TEXTS", "1000000"))
FIRST = int(os.environ.get("PANELLINT_FUZZ_FIRST", "0"))
#: One text in so many is linted with the solver too.
WHOLE = 100


def check(seed: int) -> float:
    """Reads and lints the text of a seed; returns the seconds of processor time it took."""
    text = text_of(seed)
    source = Source(text, "fuzz.panel")
    start = time.process_time()
    try:
        api.outline(text, "fuzz.panel")
        findings = lint(source, quick=True).findings
        if seed % WHOLE == 0:
            findings = lint(source).findings
    except InputError:
        return time.process_time() - start
    except Exception as error:
        raise AssertionError(f"seed {seed}: {text!r}") from error
    took = time.process_time() - start
    for finding in findings:
        assert finding.message, seed
        assert 0 <= finding.span.start <= finding.span.end <= len(text), (seed, finding)
    return took


def test_no_text_breaks_reading_or_linting() -> None:
    # 174,000 has fat of -3 %, which a long run fell over.
    for seed in (*range(ORDINARY), 174_000):
        check(seed)


@pytest.mark.long
def test_no_text_of_a_long_run_breaks_reading_or_linting() -> None:
    slowest = (0.0, 0)
    for done, seed in enumerate(range(FIRST, FIRST + LONG), 1):
        slowest = max(slowest, (check(seed), seed))
        if done % 10_000 == 0 or done == LONG:
            print(f"{done:,} texts; slowest {slowest[0]:.2f} s, seed {slowest[1]}", file=sys.stderr)


Kinds = list[tuple[Path, Callable[[Path], object]]]


def damaged(kinds: Kinds, seeds: range, folder: Path) -> None:
    """Mutates files and hands them to what reads them: there is an answer or a clear error."""
    for seed in seeds:
        chance = random.Random(seed)
        file, use = kinds[seed % len(kinds)]
        text = file.read_text(encoding="utf-8")
        for _ in range(chance.choice((1, 3))):
            text = mutated(text, chance)
        path = folder / f"damaged{file.suffix}"
        path.write_bytes(text.encode("utf-8", errors="surrogatepass"))
        try:
            use(path)
        except PanellintError:
            continue
        except Exception as error:
            raise AssertionError(f"seed {seed}: {file.name}") from error


@pytest.fixture
def kinds(tmp_path: Path) -> Kinds:
    """Files that users write, each with what reads it."""
    own = tmp_path / "own.yaml"
    given = next(path for path in pack_files() if path.name == "waivers.yaml").read_text("utf-8")
    assert "practice" in PACK_FOLDERS
    own.write_text(given.replace("pack: practice", "pack: larder"), encoding="utf-8")
    settings = tmp_path / "panellint.yaml"
    settings.write_text(
        "market: eu\nfail-at: error\nlargest-file: 100000\nignore: ['draft*']\n"
        "rules:\n  hazard: warning\n  calorie-line: off\n",
        encoding="utf-8",
    )
    sheets = sorted((Path(__file__).parents[2] / "corpus").rglob("*.csv"))
    return [
        (own, lambda path: compile_packs((), [path])),
        (settings, compile_settings),
        *((sheet, read_batch) for sheet in sheets[:6]),
    ]


def test_no_damaged_pack_settings_or_sheet_breaks(tmp_path: Path, kinds: Kinds) -> None:
    damaged(kinds, range(80), tmp_path)


@pytest.mark.long
def test_no_damaged_pack_settings_or_sheet_breaks_in_a_long_run(
    tmp_path: Path, kinds: Kinds
) -> None:
    damaged(kinds, range(80, 20_000), tmp_path)


def test_every_sign_alone_has_an_answer() -> None:
    for sign in HOSTILE:
        api.lint(sign, "sign.panel")
