"""The author's instruments: what each number does, and how well the whole thing works."""
