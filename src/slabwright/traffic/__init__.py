"""Axle equivalence, growth, and the trucks of a day."""
