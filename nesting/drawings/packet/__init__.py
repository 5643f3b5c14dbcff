"""The shop packet: one PDF to print and take to the saw, the bench and the truck."""
