"""Rule packs and settings: what is checked, and with which thresholds."""
