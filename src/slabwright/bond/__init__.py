"""Demand on the bond: wheels, temperature and shrinkage against strength."""
