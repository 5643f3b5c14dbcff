"""Advice: published formulas for strength, cushion, weight, lifting, passage and borders.

Pure functions and values. Lengths come in as integers of the exact grid, weights in kg; forces, stresses and weights
inside are floats, in the units that each name says. Every finding is a :class:`nesting.advice.check.Check`, which
says what it compares, whose formula it is and where that ends. None of it certifies anything.
"""
