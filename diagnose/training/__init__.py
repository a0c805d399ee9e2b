"""Practice on simulated shocks: cases, moves, scores, schedules and what a trainer sees."""
