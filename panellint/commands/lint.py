"""`panellint lint`: find the labels, lint them, tell the findings."""

from __future__ import annotations

import os
from collections.abc import Generator, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from panellint.commands import options
from panellint.commands.options import Request, note, render_options, request
from panellint.core.cache import CACHE_VARIABLE, forget_folder
from panellint.core.errors import Fault
from panellint.core.exit_codes import Exit, Terminated
from panellint.core.phrases import counted
from panellint.lint.runner.files import STANDARD_INPUT, Found, Ignored, find
from panellint.lint.runner.parallel import Progress, run
from panellint.lint.runner.results import Checked, Tally
from panellint.lint.runner.worker import Checker
from panellint.output import FORMATS, writer
from panellint.output.atomic_file import opened, write_whole
from panellint.output.render_options import RenderOptions

if TYPE_CHECKING:
    from panellint.lint.runner.baseline import Baseline
    from panellint.lint.runner.policy import Policy
    from panellint.rulepacks.model import Rule
    from panellint.rulepacks.settings import Settings

MOST_UNNEEDED = 10
EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input; without one, the folder you are in."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="[PATH]...", nargs=-1)
@request(*FORMATS, named=True)
@options.fail_at
@click.option(
    "--summary",
    is_flag=True,
    help="Count the findings of each label, and say what is in it at a glance.",
)
@click.option("--quick", is_flag=True, help="Leave out the rules that need the solver.")
@click.option(
    "--jobs",
    metavar="N",
    type=click.IntRange(min=0),
    default=1,
    help="Work in N processes; 0 takes as many as there are cores.",
)
@click.option("--since", metavar="REV", help="Only labels that changed since that git revision.")
@click.option(
    "--baseline", metavar="FILE", help="Findings to take as known; only new ones are shown."
)
@click.option(
    "--write-baseline", is_flag=True, help="Take all findings of now as known, in that file."
)
@click.option(
    "--policy-from",
    metavar="REV",
    help="Take settings, packs and ingredients as they stand in that git revision.",
)
@click.option(
    "--untrusted",
    is_flag=True,
    help="For labels of strangers: read no cache, no ignore file and no settings but those of "
    "--policy-from.",
)
@click.option("--no-ignore", is_flag=True, help="Lint what ignore files and settings leave out.")
@click.pass_context
def lint(
    ctx: click.Context,
    paths: tuple[str, ...],
    request: Request,
    fail_at: str | None,
    summary: bool,
    quick: bool,
    jobs: int,
    since: str | None,
    baseline: str | None,
    write_baseline: bool,
    policy_from: str | None,
    untrusted: bool,
    no_ignore: bool,
) -> None:
    """Say what is wrong or doubtful in labels."""
    if request.named is not None and STANDARD_INPUT not in paths:
        raise click.UsageError("--as names standard input: give - as PATH.")
    if write_baseline and baseline is None:
        raise click.UsageError("--write-baseline needs --baseline FILE to say where.")
    if untrusted:
        os.environ[CACHE_VARIABLE] = ""
        forget_folder()
    policy = _policy(ctx, policy_from, untrusted)
    found = find(paths or (".",), None if no_ignore or untrusted else Ignored())
    for path, reason in found.refused:
        note(f"{path}: not read: {reason}")
    for path, reason in found.left_out:
        note(f"{path}: left out by {reason} (--no-ignore lints it)")
    if since is not None:
        from panellint.lint.runner.git import changed_since

        found.paths = changed_since(since, found.paths)
    checker = Checker(
        request.market, fail_at, request.named, quick=quick, glance=summary, policy=policy
    )
    progress = Progress(len(found.paths))
    files = _one_by_one(found, checker, jobs or os.cpu_count() or 1, progress)
    stream = _noting_faults(files, progress)
    try:
        if baseline is not None and write_baseline:
            tally = _take_as_known(baseline, stream)
        else:
            tally = _written(stream, progress, request, summary, baseline, policy)
    except (KeyboardInterrupt, Terminated):
        # Closing ends the processes, wherever the signal was met.
        files.close()
        progress.hide()
        kept = f"; {request.output} is as it was" if request.output else ""
        note(f"stopped after {progress.done:,} of {progress.total:,} labels{kept}")
        raise
    ctx.exit(Exit.UNUSABLE if tally.unusable else Exit.FINDINGS if tally.failing else Exit.CLEAN)


def _policy(ctx: click.Context, revision: str | None, untrusted: bool) -> Policy | None:
    """Returns the policy that stands in place of the settings of the work tree, if one does."""
    if revision is None and not untrusted:
        return None
    from tempfile import TemporaryDirectory

    from panellint.lint.runner.policy import Policy, policy_of

    if revision is None:
        return Policy()
    folder = ctx.with_resource(TemporaryDirectory(prefix="panellint-policy-"))
    return policy_of(revision, os.path.realpath(folder))


def _written(
    stream: Iterable[Checked],
    progress: Progress,
    request: Request,
    summary: bool,
    baseline: str | None,
    policy: Policy | None,
) -> Tally:
    """Writes the findings in the form that was asked for; the known ones are left out."""
    known, tally = None, Tally()
    if baseline is not None:
        from panellint.lint.runner.baseline import Baseline

        known = Baseline.of_file(baseline)
        stream = map(known.without_known, stream)
    with opened(request.output) as target:
        for piece in writer(request.form)(tally.over(stream), _options(target, summary, policy)):
            if target.isatty():
                progress.hide()
            target.write(piece)
        target.flush()
    if known is not None:
        _tell_known(known)
    return tally


def _options(target: TextIO, summary: bool, policy: Policy | None) -> RenderOptions:
    def settings(path: str) -> Settings:
        from panellint.rulepacks.settings import Settings

        return policy.settings(path) if policy else Settings.for_path(path)

    def rule_of(path: str, rule: str) -> Rule | None:
        return settings(path).rules.get(rule)

    def page_of(path: str, rule: str) -> str:
        return settings(path).page_of(rule)

    return render_options(
        target, summary_only=summary, root=_root(), rule_of=rule_of, page_of=page_of
    )


def _root() -> Path:
    """Returns the top of the repository that the working folder is in, or else that folder."""
    here = Path.cwd()
    return next((folder for folder in (here, *here.parents) if (folder / ".git").exists()), here)


def _take_as_known(path: str, stream: Iterable[Checked]) -> Tally:
    """Takes every finding of the run as known; nothing of it fails."""
    from panellint.lint.runner.baseline import Baseline

    known = Baseline.of_file(path) if os.path.exists(path) else Baseline(path)
    tally = Tally()
    for checked in stream:
        tally.add(checked._replace(fail_at=None))
        known.take(checked)
    write_whole(path, known.text())
    findings, labels = known.count()
    among = f"{counted(findings, 'finding')} of {counted(labels, 'label')}"
    note(f"{path}: {among} {'is' if findings == 1 else 'are'} known now")
    return tally


def _tell_known(known: Baseline) -> None:
    if known.known:
        note(f"{known.known:,} known findings of {known.path} are not shown")
    unneeded = list(known.no_longer_needed())
    for label, entry in unneeded[:MOST_UNNEEDED]:
        note(f"{known.path}: no longer needed: {label}: {entry.rule}: {entry.text}")
    if len(unneeded) > MOST_UNNEEDED:
        note(f"{known.path}: {len(unneeded) - MOST_UNNEEDED:,} more are no longer needed")
    if unneeded:
        note("--write-baseline takes them out")


def _one_by_one(
    found: Found, checker: Checker, jobs: int, progress: Progress
) -> Generator[Checked, None, None]:
    """Yields each file of the run as it is done; what cannot be found comes first."""
    for fault in found.faults:
        yield Checked(fault.path, faults=(fault,))
    for checked in run(checker, found.paths, jobs):
        progress.step()
        yield checked
    progress.hide()


def _noting_faults(stream: Iterable[Checked], progress: Progress) -> Iterator[Checked]:
    """Yields the same stream; notes each fault once on standard error."""
    noted: set[Fault] = set()
    for checked in stream:
        for fault in checked.faults:
            if fault not in noted:
                noted.add(fault)
                progress.hide()
                note(str(fault))
        yield checked
