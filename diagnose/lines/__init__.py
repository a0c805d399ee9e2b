"""The door for other programs: one JSON object a line, out and in."""
