"""The languages that guides speak: catalogues of words, and the forms of days, lists and terms."""
