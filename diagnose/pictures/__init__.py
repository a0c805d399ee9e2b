"""Small pictures: a chart as SVG for paper, as characters for a terminal.

Rules
-----
- Pure text from plain numbers; nothing here knows what the numbers mean.
- Every SVG has a title and a description; meaning never rests on colour alone.
- All text from outside is escaped; the same chart gives the same bytes.
"""
