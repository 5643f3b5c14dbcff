"""Readers given what nobody meant: documents changed in their structure, kept where they got past the first check.

``python -m tests.fuzz 1000000`` runs many (DEVELOPERS.md says what was found); ``test_fuzz.py`` runs 2,000 in CI.
"""
