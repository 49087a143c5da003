"""The desk: the local web application of the sales, site, care and content team.

It serves pages and holds nothing of the domain: it calls the functions that the commands call, and
reads and writes the files that they read. ``builder/cli`` stands beside it.
"""
