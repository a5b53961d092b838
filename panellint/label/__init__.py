"""Text to label: a neutral tree that knows no ingredient."""
