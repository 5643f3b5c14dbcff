"""The saw as it is: which tool makes which cut, in which order, and what that takes of a person's time."""
