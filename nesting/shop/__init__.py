"""The shop as one value: goods, all house rules, its file, and what may touch which surface."""
