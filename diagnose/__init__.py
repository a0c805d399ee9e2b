"""Diagnose: fault finding as exact belief over causes, with safety built into the path."""

__version__ = "0.1.0"
