"""One job as an append-only list of events, and everything that follows from it."""
