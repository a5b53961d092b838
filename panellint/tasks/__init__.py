"""Questions about several labels: comparison, blends, recalls, changes."""
