"""Planned against delivered: differences, totals, the sheet, two takes, findings."""
