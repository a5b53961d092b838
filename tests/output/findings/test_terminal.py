import re
from pathlib import Path

from panellint.core.errors import Fault
from panellint.core.source import Span, read
from panellint.lint.engine import lint
from panellint.lint.runner.results import Checked
from panellint.output.cells import width
from panellint.output.findings import terminal
from panellint.output.render_options import CAUTION, RenderOptions, wants_colour
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parents[3]


def told(*stream, **look) -> str:
    return "".join(terminal.write(iter(stream), RenderOptions(**look)))


def test_a_finding_in_short(checked):
    text = told(checked)
    assert text.startswith(
        "labels/duck.panel\n"
        "1:24 error Duck can be at most 20 % of this {food}.\n"
        "    Product name: Duck 🦆 & ›Millet‹ {Recipe}\n"
        "    shown by: Four are declared before duck, so duck is at most 20 %.\n"
        "    name-quarter-share: proven by order and percentages; A regulation, section…\n"
        "2:27 warning Peas are declared in parts.\n"
    )
    assert "    remedy: Say how much\n" in text
    assert "why:" not in text
    assert "--explain adds reasons and whole proofs." in " ".join(text.split())


def test_ten_findings_fit_fifty_lines():
    """Those of the label of the corpus that has most to say, over and again up to ten; the count
    and the caution stand below them."""
    labels = sorted((ROOT / "corpus").glob("*.panel"))
    results = [lint(read(path), Settings.for_path(path), quick=True) for path in labels]
    most = max(results, key=lambda one: sum(map(len, (f.message for f in one.findings))))
    ten = (most.findings * 10)[:10]
    assert len(set(ten)) > 3
    text = told(Checked("label.panel", most._replace(findings=ten)), quiet=True)
    assert len(text.splitlines()) <= 50


def test_a_long_message_and_a_long_span_are_cut_in_short_alone(checked, findings):
    long = findings[0]._replace(message="word " * 60, span=Span(0, len(checked.result.source.text)))
    one = checked._replace(result=checked.result._replace(findings=(long,)))
    lines = told(one).splitlines()
    assert [line[-1] for line in lines[3:5]] == ["…", "‹"]
    assert "…‹" in lines[4]
    assert told(one, explain=True).count("word") == 60


def test_quiet_and_statistics(checked):
    assert told(checked, quiet=True).rstrip().endswith("salt-late: practice; common practice")
    text = told(checked, checked, statistics=True, quiet=True)
    assert text.endswith("2 name-quarter-share\n2 salt-late\n2 split-family\n")


def test_a_finding_in_full(checked):
    text = told(checked, explain=True)
    assert text.startswith(
        "labels/duck.panel\n1:24 error Duck can be at most 20 % of this {food}.\n"
    )
    assert "    1 | Product name: Duck 🦆 & Millet {Recipe}\n" in text
    assert "      |                         ^^^^^^\n" in text
    assert "    see: 2:40 declared <here> & nowhere else\n" in text
    assert "    why: A recipe name is a promise of a quarter.\n" in text
    assert "    shown by: Four are declared before duck, so duck is at most 20 %.\n" in text
    assert "proven, resting on order and percentages; source: A regulation" in text
    assert "rule: name-quarter-share" in text
    assert "    remedy: Say how much\n" in text


def test_a_reason_is_told_once_in_a_file(checked, findings):
    again = findings[0]._replace(span=findings[1].span)
    result = checked.result._replace(findings=(findings[0], again))
    text = told(checked._replace(result=result), explain=True)
    assert text.count("why: A recipe name is a promise of a quarter.") == 1
    assert text.count("why: as at 1:24") == 1


def test_everything_fits_in_eighty_columns(checked):
    for explain in (True, False):
        for columns in (80, 50, 40):
            text = told(checked, width=columns, explain=explain)
            assert all(width(line) <= columns for line in text.splitlines())


def test_the_summary_and_the_caution_come_once_at_the_end(checked, clean):
    text = told(checked, clean)
    assert "2 labels read, 1 with findings: 1 error, 1 warning, 1 hint." in text
    assert " ".join(text.split()).count(CAUTION) == 1
    assert " ".join(text.split()).endswith(CAUTION)


def test_a_clean_run_says_so(clean):
    assert told(clean).startswith("1 label read, nothing found.\n")


def test_what_could_not_be_used_is_counted(clean):
    broken = Checked("x.panel", faults=(Fault("x.panel", 1, 2, "not text"),))
    assert "1 label read, nothing found; 1 input could not be used." in told(clean, broken)


def test_colour_adds_nothing_but_colour(checked):
    plain, coloured = told(checked), told(checked, colour=True)
    assert "\x1b[" in coloured
    assert "\x1b" not in plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


class Stream:
    def __init__(self, tty: bool) -> None:
        self._tty = tty

    def isatty(self) -> bool:
        return self._tty


def test_when_colour_is_wanted():
    on, off = Stream(True), Stream(False)
    assert wants_colour(on, {})
    assert not wants_colour(off, {})
    assert not wants_colour(on, {"NO_COLOR": "1"})
    assert wants_colour(on, {"NO_COLOR": ""})
    assert wants_colour(off, {"FORCE_COLOR": "1"})
    assert not wants_colour(off, {"FORCE_COLOR": "1", "NO_COLOR": "1"})
    assert not wants_colour(on, {"TERM": "dumb"})
