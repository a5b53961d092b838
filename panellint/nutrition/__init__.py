"""The arithmetic of nutrition: pure functions of plain figures, with no label in sight."""
