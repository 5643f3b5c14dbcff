"""Cartons and wrapping: the box, its parcel of boards and foam, paper and film."""
