"""Planned against delivered: differences, totals, sheet, two takes, findings and notices."""
