"""The ingredient declaration: from text to a tree that knows no ingredient."""
