"""`panellint rule`: the rules, one rule explained, a pack of one's own tried."""

import sys
from pathlib import Path

import click

from panellint import api
from panellint.commands.options import Request, option, request
from panellint.core.errors import Exit
from panellint.core.records import to_data
from panellint.output.atomic_file import write_whole
from panellint.results.rules import TriedExample


@click.command()
@click.argument("names", metavar="[ID]", nargs=-1)
@request("terminal", "json", market=False)
@option("--try PACK", "Run the examples of a pack of your own.", "pack")
@option("--checks", "What each check (or the one named) takes.")
@option("--new PACK", "Ask for a rule and write it into a pack.")
@option("--answer KEY=ANSWER", "Answer for --new.", "answers", multiple=True)
def rule(
    names: tuple[str, ...],
    request: Request,
    pack: str | None,
    checks: bool,
    new: str | None,
    answers: tuple[str, ...],
) -> Exit:
    """List the rules; with ID, explain one with its reasons, its source and its examples. --try
    takes several packs."""
    packs = (pack, *names) if pack is not None else ()
    if len(names) > 1 and not packs:
        raise click.UsageError("One ID at a time.")
    name = names[0] if names and not packs else None
    if sum(map(bool, (name and not checks, pack, checks, new))) > 1:
        raise click.UsageError("ID, --try, --checks and --new are different questions.")
    if answers and not new:
        raise click.UsageError("--answer goes with --new.")
    status = Exit.CLEAN
    if packs:
        trials = [trial for path in packs for trial in _tried(path)]
        request.write(trials, "trials")
        status = Exit.FINDINGS if any(trial["problem"] for trial in trials) else Exit.CLEAN
    elif checks:
        from panellint.rulepacks.docs import checks as described

        request.write(described(name), "checks")
    elif new is not None:
        from panellint.commands.new_rule import Questions, write_rule

        write_whole(request.output, write_rule(new, Questions(answers, sys.stdin.isatty())))
    elif name is None:
        request.write(api.rules(), "rules")
    else:
        request.write(api.rule(name), "rule")
    return status


def _tried(pack: str) -> list[TriedExample]:
    from panellint.lint.runner.examples import try_pack
    from panellint.rulepacks.settings import Settings

    whole = Path(pack).absolute()
    settings = Settings.for_path(whole)
    others = [own for own in settings.packs if own != whole]
    trials = try_pack(whole, others, settings.ingredients)
    return [to_data(TriedExample, trial, rule=trial.rule.id) for trial in trials]
