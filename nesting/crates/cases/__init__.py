"""Outer cases: which travel frames share one, its shell, lumber, cushion, skids, checks and steps."""
