"""Decisions before the sawing: the calendar, ways to pack, scenarios, the way back."""
