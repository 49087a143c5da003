"""Makes, models, serial numbers and warranties from a COBie workbook, into the file of a plot."""
