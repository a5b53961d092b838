"""Answers for people: templates that write the document of an answer (`data`), and functions for
the commands that have to start at once."""
