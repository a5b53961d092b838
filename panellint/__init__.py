"""Lint dog and cat food labels that are written as plain text."""

__version__ = "0.1.0"
