"""The gate before print: every label of a repository with its sheet."""

from panellint.tasks.release.gate import release

__all__ = ["release"]
