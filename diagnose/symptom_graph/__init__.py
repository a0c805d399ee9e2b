"""Routes from complaints to steps (networkx) and the proof that none of them is unguarded."""
