"""What maintainers run; no part of the tool's answers."""
