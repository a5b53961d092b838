"""The command line around a linter made up for the test: each FAULT in a label is an error,
each DOUBT a hint, BOOM is a defect."""

import json
import os
import re
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from panellint.__main__ import main
from panellint.cli import COMMANDS, cli
from panellint.core.errors import Exit
from panellint.output import FORMATS

MADE_UP = """
    import re, sys, time
    import panellint.lint.engine
    from panellint.core.findings import Certainty, FileFindings, Finding, Severity
    from panellint.core.source import Span

    def lint(source, settings, *, quick=False):
        if "BOOM" in source.text:
            raise RuntimeError("boom")
        if "SLOW" in source.text:
            open("slow", "w").close()
            time.sleep(60)
        severities = {"FAULT": Severity.ERROR, "DOUBT": Severity.HINT}
        return FileFindings(source, tuple(
            Finding("made-up", severities[match[0]], Certainty.PRACTICE,
                    f"{match[0]} for {settings.market_for()}{' quickly' * quick}",
                    Span(*match.span()), source="common practice")
            for match in re.finditer("FAULT|DOUBT", source.text)
        ))

    panellint.lint.engine.lint = lint
    panellint.lint.engine.lint_context = lambda case, settings, *, quick=False: lint(
        case.source, settings, quick=quick)
"""
PROGRAM = textwrap.dedent(MADE_UP) + textwrap.dedent(
    """
    from panellint.__main__ import main
    if __name__ == "__main__":
        sys.exit(main())
    """
)


@pytest.fixture
def here(tmp_path, monkeypatch):
    # `import panellint.lint.engine` first, so that monkeypatch gives back the real one.
    import panellint.lint.engine

    monkeypatch.chdir(tmp_path)
    for name in ("lint", "lint_context"):
        monkeypatch.setattr(panellint.lint.engine, name, getattr(panellint.lint.engine, name))
    exec(textwrap.dedent(MADE_UP), {})
    for name, text in {
        "clean.panel": "Ingredients: duck\n",
        "doubt.panel": "Ingredients: DOUBT\n",
        "faulty.panel": "Species: dog\nIngredients: FAULT, DOUBT\n",
    }.items():
        Path(name).write_text(text)
    return tmp_path


def invoke(*arguments: str, **given):
    result = CliRunner().invoke(cli, arguments, **given)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["clean.panel"], Exit.CLEAN),
        (["doubt.panel"], Exit.CLEAN),
        (["doubt.panel", "--fail-at", "hint"], Exit.FINDINGS),
        (["faulty.panel"], Exit.FINDINGS),
        (["faulty.panel", "--fail-at", "error"], Exit.FINDINGS),
        (["faulty.panel", "--fail-at", "never"], Exit.CLEAN),
        (["."], Exit.FINDINGS),
        ([], Exit.FINDINGS),
        (["nowhere.panel"], Exit.UNUSABLE),
        (["nowhere.panel", "faulty.panel"], Exit.UNUSABLE),
        (["--format", "yaml"], Exit.UNUSABLE),
        (["--market", "moon"], Exit.UNUSABLE),
        (["--as", "x.panel", "clean.panel"], Exit.UNUSABLE),
        (["--write-baseline"], Exit.UNUSABLE),
    ],
)
def test_exit_status(here, arguments, status):
    assert invoke("lint", *arguments).exit_code == status


def test_the_settings_choose_the_severity_that_fails(here):
    Path("panellint.yaml").write_text("fail_at: hint\n")
    assert invoke("lint", "doubt.panel").exit_code == Exit.FINDINGS
    assert invoke("lint", "doubt.panel", "--fail-at", "error").exit_code == Exit.CLEAN


def test_every_form_gives_the_same_whatever_the_number_of_processes(here):
    for number in range(40):
        Path(f"label-{number:02}.panel").write_text("Ingredients: FAULT\n" * (number % 3))
    for jobs in ("1", "3"):
        forms = [f"--format={form}={form}-{jobs}.txt" for form in FORMATS]
        process = start(here, ".", *forms, "--jobs", jobs, "--force")
        _, err = process.communicate(timeout=100)
        assert process.returncode == Exit.FINDINGS, err
    for form in FORMATS:
        one, several = (Path(f"{form}-{jobs}.txt").read_text() for jobs in ("1", "3"))
        assert one == several, form
        assert "label-02.panel" in one


def test_one_file_that_cannot_be_used_stops_no_other(here):
    Path("bad.panel").write_bytes(b"\xff\xff")
    Path("boom.panel").write_text("BOOM")
    result = invoke("lint", "--format", "gnu", ".", "--output", "out.txt")
    assert result.exit_code == Exit.UNUSABLE
    assert "panellint: bad.panel:1:1: not text" in result.stderr
    assert "boom.panel: a defect of panellint: RuntimeError: boom" in result.stderr
    assert [line.partition(":")[0] for line in Path("out.txt").read_text().splitlines()] == [
        "doubt.panel",
        "faulty.panel",
        "faulty.panel",
    ]


def test_a_fault_of_the_settings_is_told_once(here):
    Path("panellint.yaml").write_text("fail_at: sometimes\n")
    result = invoke("lint", ".")
    assert result.exit_code == Exit.UNUSABLE
    assert len(result.stderr.splitlines()) == 1
    assert result.stderr.startswith("panellint: ")
    assert "panellint.yaml:1" in result.stderr
    assert "3 inputs could not be used" in result.stdout


def test_standard_input(here):
    result = invoke("lint", "-", "--format", "gnu", input="Ingredients: FAULT\n")
    assert result.stdout == "-:1:14: error: FAULT for us [made-up]\n"
    named = invoke("lint", "-", "--as", "new.panel", "--format", "gnu", input="FAULT")
    assert named.stdout == "new.panel:1:1: error: FAULT for us [made-up]\n"


def test_standard_input_takes_the_settings_of_its_name(here):
    Path("eu").mkdir()
    Path("eu/panellint.yaml").write_text("market: eu\n")
    result = invoke("lint", "-", "--as", "eu/new.panel", "--format", "gnu", input="FAULT")
    assert "FAULT for eu" in result.stdout
    result = invoke("lint", "-", "--market", "UK", "--as", "eu/x", "--format", "gnu", input="FAULT")
    assert "FAULT for uk" in result.stdout
    assert "quickly" in invoke("lint", "-", "--quick", input="FAULT").stdout


def test_a_named_file_that_is_ignored_is_told(here):
    Path(".panellintignore").write_text("faulty.panel\n")
    result = invoke("lint", "faulty.panel", "clean.panel")
    assert result.exit_code == Exit.CLEAN
    assert "faulty.panel: left out by .panellintignore:1: faulty.panel" in result.stderr
    assert invoke("lint", "faulty.panel", "--no-ignore").exit_code == Exit.FINDINGS


def test_a_baseline_lets_only_new_findings_fail(here):
    assert invoke("lint", ".", "--baseline", "known.json").exit_code == Exit.UNUSABLE
    written = invoke("lint", ".", "--baseline", "known.json", "--write-baseline")
    assert written.exit_code == Exit.CLEAN
    assert "3 findings of 2 labels are known now" in written.stderr
    known = invoke("lint", ".", "--baseline", "known.json")
    assert known.exit_code == Exit.CLEAN
    assert "3 known findings of known.json are not shown" in known.stderr
    Path("faulty.panel").write_text("Species: dog\n\nIngredients: FAULT, DOUBT\nFAULT\n")
    Path("doubt.panel").write_text("Ingredients: duck\n")
    new = invoke("lint", ".", "--baseline", "known.json", "--format", "gnu")
    assert new.exit_code == Exit.FINDINGS
    assert new.stdout == "faulty.panel:4:1: error: FAULT for us [made-up]\n"
    assert "no longer needed: doubt.panel: made-up: DOUBT" in new.stderr


def test_only_labels_that_changed(here):
    run = ["git", "-c", "user.name=x", "-c", "user.email=x@quillbrook.example"]
    for arguments in (["init", "-q"], ["add", "."], ["commit", "-qm", "labels"]):
        subprocess.run([*run, *arguments], check=True, capture_output=True)
    assert "0 labels read" in invoke("lint", "--since", "HEAD").stdout
    Path("faulty.panel").write_text("FAULT")
    assert invoke("lint", "--since", "HEAD", "--format", "gnu").stdout.startswith("faulty.panel:1")
    assert invoke("lint", "--since", "nowhere").exit_code == Exit.UNUSABLE


def test_colour(here, monkeypatch):
    assert "\x1b" not in invoke("lint", ".").stdout
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert "\x1b[" in invoke("lint", ".", color=True).stdout
    invoke("lint", ".", "--output", "out.txt")
    assert "\x1b" not in Path("out.txt").read_text()
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b" not in invoke("lint", ".", color=True).stdout


def test_an_unknown_command_names_the_nearest():
    result = invoke("lnit")
    assert result.exit_code == Exit.UNUSABLE
    assert "Did you mean lint?" in result.stderr


def test_help_names_every_command_and_imports_none():
    code = (
        "import sys; from panellint.cli import cli; cli.main(['--help'], standalone_mode=False);"
        "print([m for m in sys.modules if m.startswith('panellint.commands')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    for name in COMMANDS:
        assert re.search(rf"^  {name} ", done.stdout, re.MULTILINE)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_there_and_has_help(name):
    result = invoke(name, "--help")
    assert result.exit_code == 0
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    assert command.help


def test_a_signal_while_output_is_written_says_how_far_it_came_too(here, monkeypatch, capsys):
    def write(stream, look):
        yield next(iter(stream)).path
        raise KeyboardInterrupt

    monkeypatch.setattr("panellint.output.findings.gnu.write", write)
    before = signal.getsignal(signal.SIGTERM)
    try:
        status = main(["lint", ".", "--format", "gnu", "--output", "out.txt"])
    finally:
        signal.signal(signal.SIGTERM, before)
    assert status == Exit.INTERRUPTED
    assert "stopped after 1 of 3 labels; out.txt is as it was" in capsys.readouterr().err
    assert not Path("out.txt").exists()


# Real processes -------------------------------------------------------------------------------


def start(here: Path, *arguments: str, **given) -> subprocess.Popen[str]:
    program = here / "program.py"
    program.write_text(PROGRAM)
    return subprocess.Popen(
        [sys.executable, str(program), "lint", *arguments],
        cwd=here,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        **given,
    )


def assert_none_left(session: int) -> None:
    """Waits until no process is left in the session that a run was given."""
    until = time.monotonic() + 30
    while time.monotonic() < until:
        try:
            os.killpg(session, 0)
        except ProcessLookupError:
            return
        time.sleep(0.02)
    pytest.fail("a process is left")


@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGINT, Exit.INTERRUPTED), (signal.SIGTERM, Exit.TERMINATED)]
)
def test_a_run_that_is_stopped_says_how_far_it_came(here, jobs, number, status):
    labels = here / "labels"
    labels.mkdir()
    for at in range(64):
        (labels / f"{at:02}.panel").write_text("SLOW" if at >= 32 else "FAULT")
    (here / "out.json").write_text("before")
    process = start(
        here, "labels", "--jobs", jobs, "--format", "json", "--output", "out.json", "--force",
        start_new_session=True,
    )  # fmt: skip
    # The first half is done when a label of the second hangs.
    until = time.monotonic() + 60
    while not (here / "slow").exists() and time.monotonic() < until:
        time.sleep(0.02)
    process.send_signal(number)
    _, err = process.communicate(timeout=60)
    assert process.returncode == status
    words = r"^panellint: stopped after (\d+) of 64 labels; out.json is as it was$"
    told = re.search(words, err, re.M)
    assert told, err
    # Of several processes, one may hang before all results of another were taken.
    assert int(told[1]) == 32 if jobs == "1" else int(told[1]) <= 32
    assert "Traceback" not in err
    assert (here / "out.json").read_text() == "before"
    assert not any(here.glob(".out.json.*"))
    assert_none_left(process.pid)


def test_processes_end_with_the_first_however_that_one_ends(here):
    for at in range(64):
        (here / f"{at:02}.panel").write_text("SLOW")
    process = start(here, ".", "--jobs", "2", start_new_session=True)
    until = time.monotonic() + 60
    while not (here / "slow").exists() and time.monotonic() < until:
        time.sleep(0.02)
    process.kill()
    process.communicate(timeout=60)  # comes to an end once nobody holds its output
    assert_none_left(process.pid)


def test_a_reader_that_leaves_early_is_no_finding(here):
    (here / "many.panel").write_text("FAULT\n" * 20_000)
    process = start(here, "many.panel", "--format", "gnu")
    assert process.stdout is not None
    assert process.stdout.readline()
    process.stdout.close()
    assert process.wait(timeout=20) == Exit.PIPE_CLOSED
    assert process.stderr is not None
    assert process.stderr.read() == ""
    process.stderr.close()


def test_lone_surrogates_and_a_narrow_encoding_stop_nothing(here):
    process = start(
        here, "-", "--as", "caf\udce9 米.panel",
        stdin=subprocess.PIPE, env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )  # fmt: skip
    out, err = process.communicate("FAULT é \u2265\n", timeout=20)
    assert process.returncode == Exit.FINDINGS
    assert err == ""
    assert "FAULT" in out


def test_json_is_the_same_in_every_encoding(here):
    (here / "é.panel").write_text("é FAULT", "utf-8")
    outputs = []
    for encoding in ("utf-8", "ascii", "utf-16"):
        environment = {**os.environ, "PYTHONIOENCODING": encoding}
        process = start(here, "é.panel", "--format", "json", "--output", "out", env=environment)
        process.communicate(timeout=20)
        outputs.append((here / "out").read_bytes())
    assert len(set(outputs)) == 1
    assert json.loads(outputs[0])["files"][0]["path"] == "é.panel"


def test_waivers_are_listed_in_the_form_that_is_asked_for(here):
    text = "Ingredients: duck.\nWaive calorie-line until 2999-01-01: laboratory value\n"
    Path("waived.panel").write_text(text)
    asked = ("lint", "--waivers", "waived.panel")
    [waiver] = json.loads(invoke(*asked, "--format", "json").stdout)["waivers"]
    assert (waiver["rule"], waiver["line"]) == ("calorie-line", 2)
    assert invoke(*asked).stdout.startswith("1 waiver in labels")
    invoke(*asked, "--format", "terminal", "--format", "json=waived.json")
    assert json.loads(Path("waived.json").read_text())["waivers"] == [waiver]
    assert invoke(*asked, "--format", "sarif").exit_code == Exit.UNUSABLE
