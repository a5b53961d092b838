"""`panellint init`: what a repository of labels starts with."""

from pathlib import Path

import click

from panellint.commands.options import choice, known_market
from panellint.output.atomic_file import write_whole

EDITORS = Path(__file__).resolve().parent.parent / "editors"
#: By service: where its file goes, and the template of it.
SERVICES = {
    "github": (".github/workflows/labels.yml", "starter/workflow.yml"),
    "gitlab": (".gitlab-ci.yml", "ci/gitlab.yml"),
}


@click.command()
@click.argument("folder", default=".", type=click.Path(file_okay=False))
@click.option(
    "--market", metavar="MARKET", default="us", callback=known_market, help="us, eu, uk or ca."
)
@choice(
    "--ci",
    "service",
    of=[*SERVICES, "none"],
    says="The service whose file is written.",
    usual="github",
)
def init(folder: str, market: str, service: str) -> None:
    """Write what a repository of labels starts with: settings, an example label, the hook that
    lints before each commit, the file for CI. What is there already stays as it is."""
    top = Path(folder)
    files = {
        "panellint.yaml": ("starter/panellint.yaml", "settings: market, rules, what fails a run"),
        "labels/example.panel": ("starter/example.panel", "a label to try: panellint lint labels"),
        ".pre-commit-config.yaml": (
            "starter/pre-commit.yaml",
            "lints before each commit: pre-commit install",
        ),
    }
    if service in SERVICES:
        place, template = SERVICES[service]
        files[place] = (template, "lints with each push, findings beside the changed lines")
    for name, (template, what) in files.items():
        path = top / name
        if path.exists():
            click.echo(f"{path}: is there already and stays as it is")
            continue
        text = (EDITORS / template).read_text(encoding="utf-8")
        if name == "panellint.yaml":
            text = text.format(market=market)
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(str(path), text)
        click.echo(f"{path}: {what}")
