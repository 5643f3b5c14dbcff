"""The offer to a client: one page with what is made, what it costs and how it is accepted, and nothing internal."""
