"""Proof that the work is what was ordered: sampling, statistics and pay."""
