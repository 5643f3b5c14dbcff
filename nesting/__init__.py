"""The shop floor: artworks become crates, crates become parts, parts are laid out and drawn.

This package knows sizes, weights and materials, and no money: a stock item may carry a plain ``cost`` for the
optimiser to minimise. It never imports ``pricing``.
"""
