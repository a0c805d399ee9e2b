"""A shock with a known truth, and the people who report on it."""
