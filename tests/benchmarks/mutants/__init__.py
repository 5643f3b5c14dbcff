"""Mutation testing: a module changed in one small place at a time, and which changes no test notices.

``python -m tests.benchmarks.mutants pricing/desk/guard.py`` tries every change of a module; its counts go to
``data/mutants.csv``, what no test noticed to the terminal.
"""
