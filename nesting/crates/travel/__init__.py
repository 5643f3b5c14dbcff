"""Travel frames: the open frame, French cleats, and how a piece hangs in it."""
