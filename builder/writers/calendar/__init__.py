"""The calendar of one plot. What writes it takes long to load, so this alone is here."""

CALENDAR = "calendar.ics"
"""Its file, beside the pages of the guide."""
