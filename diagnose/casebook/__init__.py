"""Cases: a job, its truth, and what must be said."""
