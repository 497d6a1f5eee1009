"""Samples, lots, outliers, polynomials and sensitivities."""
