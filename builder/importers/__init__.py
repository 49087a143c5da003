"""Other people's files, read into ours: building models, spreadsheets and COBie.

Importers write the files of a workspace and are never read when guides are made.
"""
