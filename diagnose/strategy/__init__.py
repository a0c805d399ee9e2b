"""What to do next and what to do at last, by the expected cost of the whole job."""
