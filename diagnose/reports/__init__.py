"""What leaves the program on paper or as pages; shows what the rooms below have decided."""
