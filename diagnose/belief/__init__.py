"""Exact belief over several faults at once: leaky noisy-MAX findings, uncertain reports."""
