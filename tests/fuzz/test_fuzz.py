"""Whatever arrives, there is an answer or a clear error, and never a crash."""

from __future__ import annotations

import io
import os
import random
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from panellint import api
from panellint.core.errors import InputError, PanellintError
from panellint.core.source import Positions, Source
from panellint.lint.engine import lint
from panellint.maker.batch import read_batch
from panellint.rulepacks.compile.packs import compile_packs
from panellint.rulepacks.compile.settings import compile_settings
from panellint.rulepacks.data import PACK_FOLDERS
from panellint.rulepacks.packs import pack_files
from panellint.server import layout
from panellint.server.answers import Answers, Question
from panellint.server.completion import completions
from panellint.server.symbols import flat, symbols
from tests.maker.sheet.conftest import ods, xlsx

from .texts import HOSTILE, laid_out, mutated, text_of

ORDINARY = 150
MATERIALS = """\
materials:
  - {code: DK-01, name: duck, analysis: {moisture: {mean: 60, sd: 1.2}, protein: 16, fat: 20}}
  - {name: oats, analysis: {moisture: 10}, allergens: [gluten], cost: 3.10, most: 70}
"""
RECIPE = """\
species: dog
form: baked
unit: cup 110 g
materials: materials.yaml
steps:
  - mix: [{material: DK-01, amount: 60 kg, lot: HF-1}, {material: oats, amount: 40 kg}]
  - cook: {water-out: 10 kg, fat-out: 4 kg}
  - dry: {to-moisture: 10 %}
"""
#: Texts of the long run, and the first seed: a run can be parted over processes.
LONG = int(os.environ.get("PANELLINT_FUZZ_TEXTS", "1000000"))
FIRST = int(os.environ.get("PANELLINT_FUZZ_FIRST", "0"))
#: One text in so many is linted with the solver too.
WHOLE = 100


def check(seed: int, made: Callable[[int], str] = text_of) -> float:
    """Reads and lints the text of a seed; returns the seconds of processor time it took."""
    text = made(seed)
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
    # Long runs fell over fat of -3 % (174,000) and were held up by tags without end (9,124,396).
    for seed in (*range(ORDINARY), 174_000, 2_001_479, 9_124_396):
        check(seed)


def test_no_layout_breaks_reading_or_linting() -> None:
    # 10,108 is in several languages without a list, which a long run fell over.
    for seed in (*range(30), 10_108):
        check(seed, laid_out)


@pytest.mark.long
def test_no_layout_of_a_long_run_breaks_reading_or_linting() -> None:
    for seed in range(FIRST, FIRST + LONG // 50):
        check(seed, laid_out)


@pytest.mark.long
def test_no_text_of_a_long_run_breaks_reading_or_linting() -> None:
    slowest = (0.0, 0)
    for done, seed in enumerate(range(FIRST, FIRST + LONG), 1):
        slowest = max(slowest, (check(seed), seed))
        if done % 10_000 == 0 or done == LONG:
            print(f"{done:,} texts; slowest {slowest[0]:.2f} s, seed {slowest[1]}", file=sys.stderr)


def spoilt(file: Path, chance: random.Random) -> bytes:
    """What a file holds with one to three changes: of its text, or of its bytes where it has none;
    of a package of files, in half of them of one that is inside."""
    if file.suffix not in (".xlsx", ".ods"):
        text = file.read_text(encoding="utf-8")
        for _ in range(chance.choice((1, 3))):
            text = mutated(text, chance)
        return text.encode("utf-8", errors="surrogatepass")
    if chance.random() < 0.5:
        return cut(file.read_bytes(), chance)
    with zipfile.ZipFile(file) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    name = chance.choice(sorted(parts))
    text = parts[name].decode("utf-8", errors="replace")
    parts[name] = mutated(text, chance).encode("utf-8", errors="surrogatepass")
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as package:
        for one, data in parts.items():
            package.writestr(one, data)
    return whole.getvalue()


def cut(data: bytes, chance: random.Random) -> bytes:
    """Bytes of which one is another, or some are gone."""
    at = chance.randrange(len(data))
    if chance.random() < 0.7:
        return data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]
    return data[:at] + data[at + chance.choice((1, 100, len(data))) :]


Kinds = list[tuple[Path, Callable[[Path], object]]]


def damaged(kinds: Kinds, seeds: range, folder: Path) -> None:
    """Mutates files and hands them to what reads them: there is an answer or a clear error."""
    for seed in seeds:
        chance = random.Random(seed)
        file, use = kinds[seed % len(kinds)]
        path = folder / f"damaged{file.suffix}"
        path.write_bytes(spoilt(file, chance))
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
    corpus = Path(__file__).parents[2] / "corpus"
    rows = [("Ingredient", "kg", "Cost per kg"), ("duck", 60, 3.1), ("millet", 38, 1), ("salt", 2)]
    (tmp_path / "materials.yaml").write_text(MATERIALS, encoding="utf-8")
    recipe = tmp_path / "recipe.yaml"
    recipe.write_text(RECIPE, encoding="utf-8")
    sheets = [
        *sorted(corpus.rglob("*.csv"))[:6],
        recipe,
        xlsx(tmp_path / "batch.xlsx", {"Formula": rows, "Notes": [("nothing", "here")]}),
        ods(tmp_path / "batch.ods", {"Formula": rows}),
    ]
    return [
        (own, lambda path: compile_packs((), [path])),
        (settings, compile_settings),
        *((sheet, read_batch) for sheet in sheets),
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


def answered(seed: int) -> None:
    """Asks of a text all that an editor asks, at places of its own."""
    chance = random.Random(seed)
    text = laid_out(seed) if seed % 5 == 0 else text_of(seed)
    encoding = chance.choice(("utf-8", "utf-16", "utf-32"))
    question = Question(text, "fuzz.panel", "file:///fuzz.panel", encoding, True)
    try:
        answers = Answers()
        found = answers.lint(question)
        assert not found["faults"], found
        context = answers.context(question)
        units = Positions(context.source, encoding)
        for offset in (0, len(text), *(chance.randrange(len(text) + 1) for _ in range(4))):
            assert units.offset(*units.units(offset)) == offset or text[offset - 1 : offset] == "\r"
            assert not answers.hover(question, offset)["faults"]
            completions(context, offset)
            layout.mentions(context, offset)
        flat(symbols(context, units), question.uri)
        end = 0
        for token in layout.tokens(context):
            assert end <= token.span.start < token.span.end <= len(text)
            end = token.span.end
        assert all(first < last for first, last in layout.folds(context))
        for edit in layout.formatted(context):
            assert text[slice(*edit.span)].split() == edit.text.split()
    except Exception as error:
        raise AssertionError(f"seed {seed}: {text!r}") from error


def test_no_text_breaks_what_an_editor_asks() -> None:
    for seed in range(60):
        answered(seed)


@pytest.mark.long
def test_no_text_of_a_long_run_breaks_what_an_editor_asks() -> None:
    for seed in range(FIRST, FIRST + LONG // 20):
        answered(seed)
