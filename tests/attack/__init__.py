"""An attack on the builder by thousands of hostile tries, each run through the commands that people use.

``python -m tests.attack`` runs the long form and prints a table; ``tests/test_attack.py`` runs a short
one. The same seed makes the same tries. Only how far a killed process got depends on the machine.
"""
