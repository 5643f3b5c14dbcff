"""Tests of many orders at a time."""
