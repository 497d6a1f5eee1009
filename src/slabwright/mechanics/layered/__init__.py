"""Two plates joined by an interface on a foundation: shared deflection, own displacement of each in its plane."""
