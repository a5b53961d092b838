"""Findings in each output format, one file a format."""
