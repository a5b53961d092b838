"""Text and positions, numbers and units, errors, findings: what every room stands on."""
