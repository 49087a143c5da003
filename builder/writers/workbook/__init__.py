"""Workbooks (XLSX) for other people: plots as the sales team has them, COBie as a client asks for it."""
