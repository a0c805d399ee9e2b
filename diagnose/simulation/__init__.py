"""A shock with a known truth."""
