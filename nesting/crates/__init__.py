"""The expander: artworks become crates, one file per packing method beside the shared carpentry."""
