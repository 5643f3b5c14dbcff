"""Parts to sheets, sticks and rolls: what is cut, what it is cut from, and the searches."""
