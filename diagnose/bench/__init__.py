"""The bench: physics and units.

Rules
-----
- Everything inside is SI: Pa, K, m, m3, s, N, kg. Only `units` knows any other unit.
- Pressures of gas laws are absolute; what a gauge shows is called gauge; each docstring says which.
- One public function is one published equation. Nothing here prints, asks or keeps anything.
- `formulas` is the one table of what the bench computes: for calc, and for the checks that measure.
"""
