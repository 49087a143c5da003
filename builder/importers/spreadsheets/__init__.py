"""Plots from the spreadsheet of a sales team, into ``plots.csv`` and the files of plots."""
