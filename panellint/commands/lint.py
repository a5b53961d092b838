"""`panellint lint`: find the labels, lint them, tell the findings."""

from __future__ import annotations

import os
from collections.abc import Generator, Iterable, Iterator
from contextlib import ExitStack, suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from panellint.commands import options
from panellint.commands.options import Request, note, option, render_options, request
from panellint.core.cache import CACHE_VARIABLE, forget_folder
from panellint.core.errors import Exit, Fault, InputError, Terminated
from panellint.core.files import repository_of
from panellint.core.phrases import counted, listed
from panellint.core.text import harmless
from panellint.lint.runner.files import STANDARD_INPUT, Found, Ignored, find
from panellint.lint.runner.parallel import Checker, Picked, Progress, run
from panellint.lint.runner.results import Checked, Tally
from panellint.output import FORMATS, together, writer
from panellint.output.atomic_file import opened, write_like, write_whole
from panellint.output.cells import ASCII, is_unicode
from panellint.output.render_options import RenderOptions

if TYPE_CHECKING:
    from panellint.lint.runner.baseline import Baseline
    from panellint.lint.runner.git import Policy
    from panellint.rulepacks.settings import Settings

MOST_UNNEEDED = 10
_SOLVER_FAILED = (
    "the solver gave no answer to some questions of shares; the order of the list alone answers "
    "them, and what it leaves open is not sure (said of the first such label alone)"
)
EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input; without one, the folder you are in."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="[PATH]...", nargs=-1, type=click.Path())
@request(*FORMATS, named=True, several=True)
@options.fail_at
@options.explain
@option(
    "--select RULES",
    "Only findings of these rules: ids or patterns (eu-*), commas between.",
    "selected",
    multiple=True,
)
@option("--ignore RULES", "No findings of these rules.", "ignored", multiple=True)
@option(
    "--config FILE", "Take these settings, and not the nearest panellint.yaml.", type=click.Path()
)
@option("--fix", "Make the sure corrections in the files first.")
@option("--diff", "Only show what --fix would change.")
@option("-q, --quiet", "Print findings and nothing else.")
@option("-v, --verbose", "Say what each label was taken for, by which settings.")
@option("--statistics", "Count the findings of each rule at the end.")
@option("--quick", "Leave out the rules that need the solver.")
@option(
    "--jobs N",
    "Work in N processes; 0 takes as many as there are cores.",
    type=click.IntRange(min=0),
    default=1,
)
@option("--since REV", "Only labels that changed since that git revision.")
@option("--baseline FILE", "Findings to take as known; only new ones are shown.", type=click.Path())
@option("--write-baseline", "Take all findings of now as known, in that file.")
@option(
    "--policy-from REV", "Take settings, packs and ingredients as they stand in that git revision."
)
@option(
    "--untrusted",
    "For labels of strangers: read no cache, no ignore file and no settings but those of "
    "--policy-from.",
)
@option("--waivers", "List all that is waived, switched off, known or left out.")
@option("--no-ignore", "Lint what ignore files and settings leave out.")
def lint(
    paths: tuple[str, ...],
    request: Request,
    fail_at: str | None,
    selected: tuple[str, ...],
    ignored: tuple[str, ...],
    config: str | None,
    fix: bool,
    diff: bool,
    quick: bool,
    jobs: int,
    since: str | None,
    baseline: str | None,
    write_baseline: bool,
    policy_from: str | None,
    untrusted: bool,
    waivers: bool,
    no_ignore: bool,
    verbose: bool,
    **display: bool,
) -> Exit:
    """Say what is wrong or doubtful in labels."""
    if request.named is not None and STANDARD_INPUT not in paths:
        raise click.UsageError("--as names standard input: give - as PATH.")
    trusted = not untrusted and policy_from is None
    if baseline is None and trusted and (named := _baseline_of(paths)):
        baseline = named if write_baseline or os.path.exists(named) else None
    if write_baseline and baseline is None:
        raise click.UsageError(
            "--write-baseline needs --baseline FILE, or `baseline` in the settings, to say where."
        )
    if fix and STANDARD_INPUT in paths:
        raise click.UsageError("--fix changes files: --diff - shows what it would change.")
    if untrusted:
        os.environ[CACHE_VARIABLE] = ""
        forget_folder()
    policy = _policy(policy_from, untrusted)
    search = find(paths or (".",), None if no_ignore or untrusted else Ignored(config))
    for path, reason in search.refused:
        note(f"{path}: not read: {reason}")
    for path, reason in () if request.quiet else search.left_out:
        note(f"{path}: left out by {reason} (--no-ignore lints it)")
    if since is not None:
        from panellint.lint.runner.git import changed_since

        search.paths = changed_since(since, search.paths)
    if waivers:
        from panellint.lint.waived import waived

        left_out = [f"{path}: {reason}" for path, reason in search.left_out]
        data = waived(search.paths, left_out)
        for form, file in request.outputs:
            if form not in ("terminal", "json"):
                raise click.UsageError(f"--waivers lists as terminal or json, not as {form}.")
            request._replace(form=form, output=file).write(data, "waived")
        return Exit.CLEAN
    checker = Checker(
        request.market,
        fail_at,
        request.named,
        config=config,
        picked=Picked(_words(selected), _words(ignored)) if selected or ignored else None,
        quick=quick,
        policy=policy,
        write=write_like if fix else None,
    )
    if checker.picked is not None:
        _check_picked(checker.picked, checker.settings_of(paths[0] if paths else "."))
    if diff:
        return _show_difference(search, checker, request)
    progress = Progress(0 if request.quiet else len(search.paths))
    files = _one_by_one(search, checker, jobs or os.cpu_count() or 1, progress)
    stream = _noting(files, progress, verbose, untrusted)
    try:
        if baseline is not None and write_baseline:
            tally = _take_as_known(baseline, stream)
        else:
            display = {**display, "quiet": request.quiet}
            tally = _written(stream, progress, request, checker, display, baseline)
    except (KeyboardInterrupt, Terminated):
        # Closing ends the processes, wherever the signal was met.
        files.close()
        progress.hide()
        untouched = [file for _, file in request.outputs if file]
        verb = "is as it was" if len(untouched) == 1 else "are as they were"
        kept = f"; {listed(untouched)} {verb}" if untouched else ""
        note(f"stopped after {progress.done:,} of {len(search.paths):,} labels{kept}")
        raise
    return Exit.UNUSABLE if tally.unusable else Exit.FINDINGS if tally.failing else Exit.CLEAN


def _policy(revision: str | None, untrusted: bool) -> Policy | None:
    """Returns the policy that stands in place of the settings of the work tree, if one does."""
    if revision is None and not untrusted:
        return None
    from tempfile import TemporaryDirectory

    from panellint.lint.runner.git import Policy, policy_of

    if revision is None:
        return Policy()
    folder = click.get_current_context().with_resource(
        TemporaryDirectory(prefix="panellint-policy-")
    )
    return policy_of(revision, os.path.realpath(folder))


def _words(given: tuple[str, ...]) -> tuple[str, ...]:
    """Returns the words of an option that is given once or more, with commas between."""
    return tuple(word.strip() for words in given for word in words.split(",") if word.strip())


def _check_picked(picked: Picked, settings: Settings) -> None:
    """Raises PanellintError, with the nearest id, for a rule that is not known; notes each that is
    selected though the settings have it off, since no finding of it is no pass."""
    from panellint.rulepacks.docs import unknown_rule

    for word in picked.unknown(settings.rules):
        raise unknown_rule(word, settings.rules)
    for word in picked.selected:
        if word in settings.rules and not settings.rules[word].is_on:
            note(
                f"{word} is off: `rules: {{{word}: {{severity: warning}}}}` in panellint.yaml "
                "switches it on"
            )


def _show_difference(search: Found, checker: Checker, request: Request) -> Exit:
    """Writes what --fix would change; FINDINGS where that is something."""
    from panellint.lint.fix import difference

    if search.faults:
        raise InputError(*search.faults)
    differs = False
    with opened(request.output) as target:
        for path in search.paths:
            source = request.source(path)
            text = difference(source, checker.settings_of(source.path), checker.wants)
            differs = differs or bool(text)
            target.writelines(f"{harmless(line)}\n" for line in text.splitlines())
    return Exit.FINDINGS if differs else Exit.CLEAN


def _baseline_of(paths: tuple[str, ...]) -> str | None:
    """Returns the baseline that the settings of the first path name; None where they name none, or
    are faulty, which the run says."""
    from panellint.rulepacks.settings import Settings

    with suppress(InputError):
        return Settings.for_path(paths[0] if paths else ".").baseline or None
    return None


def _written(
    stream: Iterable[Checked],
    progress: Progress,
    request: Request,
    checker: Checker,
    display: dict[str, bool],
    baseline: str | None,
) -> Tally:
    """Writes the findings in each form that was asked for; the known ones are left out."""
    known, tally = None, Tally()
    if baseline is not None:
        from panellint.lint.runner.baseline import Baseline

        known = Baseline.of_file(baseline)
        stream = map(known.without_known, stream)
    with ExitStack() as files:
        targets = [files.enter_context(opened(file)) for _, file in request.outputs]
        forms = [form for form, _ in request.outputs]
        writers = [
            partial(_pieces, form, _options(target, checker, display))
            for form, target in zip(forms, targets, strict=True)
        ]
        for number, piece in together(tally.over(stream), writers):
            target = targets[number]
            if target.isatty():
                progress.hide()
            plain = forms[number] == "terminal" and not is_unicode(target)
            target.write(piece.translate(ASCII) if plain else piece)
        for target in targets:
            target.flush()
    if known is not None and not request.quiet:
        _tell_known(known)
    return tally


def _pieces(form: str, options_: RenderOptions, files: Iterable[Checked]) -> Iterator[str]:
    return writer(form)(files, options_)


def _options(target: TextIO, checker: Checker, display: dict[str, bool]) -> RenderOptions:
    return render_options(
        target,
        explain=display["explain"],
        quiet=display["quiet"],
        statistics=display["statistics"],
        root=repository_of(Path.cwd()),
        rule_of=lambda path, rule: checker.settings_of(path).rules.get(rule),
        page_of=lambda path, rule: checker.settings_of(path).page_of(rule),
    )


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
    search: Found, checker: Checker, jobs: int, progress: Progress
) -> Generator[Checked, None, None]:
    """Yields each file of the run as it is done; what cannot be found comes first."""
    for fault in search.faults:
        yield Checked(fault.path, faults=(fault,))
    for checked in run(checker, search.paths, jobs):
        progress.step()
        yield checked
    progress.hide()


def _noting(
    stream: Iterable[Checked], progress: Progress, verbose: bool, untrusted: bool
) -> Iterator[Checked]:
    """Yields the same stream; notes each fault once on standard error, the first label for which
    the solver failed, what was corrected, with `verbose` what each label was taken for, and with
    `untrusted` what each waives, since a stranger wrote the waivers."""
    noted: set[Fault] = set()
    failed = False
    for checked in stream:
        words = [str(fault) for fault in checked.faults if fault not in noted]
        noted |= set(checked.faults)
        if checked.corrections:
            words.append(f"{checked.path}: {counted(checked.corrections, 'correction')} made")
        if verbose and checked.read_as:
            words.append(f"{checked.path}: {checked.read_as}")
        if checked.solver_failed and not failed:
            failed = True
            words.append(f"{checked.path}: {_SOLVER_FAILED}")
        if untrusted and checked.result:
            for finding in checked.result.waived:
                at = checked.result.source.position(finding.span.start)
                place = f"{checked.path}:{at.line}:{at.column}"
                words.append(f"{place}: waived by the label: {finding.rule}: {finding.message}")
        for line in words:
            progress.hide()
            note(line)
        yield checked
