"""Gear: what a crate is lifted by, stands on, opens by and breathes through."""
