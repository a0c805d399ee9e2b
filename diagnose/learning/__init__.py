"""What closed jobs teach: how often causes occur, and where the knowledge misses something.

Rules
-----
- Nothing learned is in force until a person applies it; every version can be taken back.
- A proposal says its counts, n of m, before its numbers.
"""
