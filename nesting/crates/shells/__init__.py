"""Closed and battened crates: frame, faces, battens, seams, mounting, liner, and the steps to build them."""
