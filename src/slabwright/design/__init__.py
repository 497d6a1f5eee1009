"""Overlay design: thickness, steel, joints, surface preparation, what deflection and life become."""
