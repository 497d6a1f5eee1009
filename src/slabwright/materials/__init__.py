"""Concrete: fatigue laws, creep and relaxation."""
