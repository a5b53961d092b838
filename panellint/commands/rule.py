"""`panellint rule`: the rules, one rule explained, a pack of one's own tried."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from panellint.commands.options import Request, request
from panellint.core.exit_codes import Exit
from panellint.output.atomic_file import opened
from panellint.output.render_options import width_of

if TYPE_CHECKING:
    from panellint.lint.runner.examples import Trial


@click.command()
@click.argument("name", metavar="[ID]", required=False)
@request("terminal", "json", market=False)
@click.option("--try", "pack", metavar="PACK", help="Run the examples of a pack of your own.")
@click.option(
    "--schema",
    type=click.Choice(["pack", "settings"]),
    help="The JSON Schema of such a file, for an editor to complete it.",
)
@click.option("--checks", is_flag=True, help="What each check (or the one named) takes.")
@click.option("--new", metavar="PACK", help="Ask for a rule and write it into a pack.")
@click.option("--answer", "answers", metavar="KEY=ANSWER", multiple=True, help="Answer for --new.")
@click.pass_context
def rule(
    ctx: click.Context,
    name: str | None,
    request: Request,
    pack: str | None,
    schema: str | None,
    checks: bool,
    new: str | None,
    answers: tuple[str, ...],
) -> None:
    """List the rules; with ID, explain one with its reasons, its source and its examples."""
    if sum(map(bool, (name and not checks, pack, schema, checks, new))) > 1:
        raise click.UsageError("ID, --try, --schema, --checks and --new are different questions.")
    if answers and not new:
        raise click.UsageError("--answer goes with --new.")
    status = Exit.CLEAN
    with opened(request.output) as stream:
        if schema is not None:
            stream.write(_json(_schema(schema)))
        elif checks:
            stream.write(_checks(name, request.form == "json", width_of(stream)))
        elif new is not None:
            from panellint.commands.new_rule import Questions, write_rule

            stream.write(write_rule(new, Questions(answers, sys.stdin.isatty())))
        elif pack is not None:
            trials = _tried(pack)
            stream.write(
                _json(_trial_data(trials)) if request.form == "json" else _trial_text(trials)
            )
            status = Exit.FINDINGS if any(trial.problem for trial in trials) else Exit.CLEAN
        else:
            stream.write(_told(name, request.form == "json", width_of(stream)))
    ctx.exit(status)


def _told(name: str | None, as_data: bool, width: int) -> str:
    from panellint.rulepacks import docs
    from panellint.rulepacks.settings import Settings

    rules = Settings.for_path(".").rules
    if name is None:
        listed = rules.values()
        return _json(docs.listing(listed)) if as_data else docs.list_text(listed, width)
    found = docs.rule_of(rules, name)
    return _json(docs.to_dict(found)) if as_data else docs.rule_text(found, width)


def _checks(name: str | None, as_data: bool, width: int) -> str:
    from panellint.rulepacks import check_docs

    found = check_docs.checks(name)
    return _json(found) if as_data else check_docs.text(found, width)


def _schema(kind: str) -> dict[str, Any]:
    from panellint.rulepacks.compile.models import pack_schema, settings_schema

    return pack_schema() if kind == "pack" else settings_schema()


def _tried(pack: str) -> tuple[Trial, ...]:
    from panellint.lint.runner.examples import try_pack
    from panellint.rulepacks.settings import Settings

    whole = Path(pack).absolute()
    others = [own for own in Settings.for_path(whole).packs if own != whole]
    return try_pack(whole, others)


def _trial_data(trials: tuple[Trial, ...]) -> list[dict[str, Any]]:
    return [
        {
            "rule": trial.rule.id,
            "kind": trial.kind,
            "number": trial.number,
            "problem": trial.problem,
        }
        for trial in trials
    ]


def _trial_text(trials: tuple[Trial, ...]) -> str:
    wrong = sum(bool(trial.problem) for trial in trials)
    lines = [str(trial) for trial in trials]
    lines.append(f"{len(trials)} examples tried, {wrong} not as they should be.")
    return "\n".join(lines) + "\n"


def _json(data: Any) -> str:
    return json.dumps(data, indent=1) + "\n"
