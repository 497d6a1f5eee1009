"""Thickness, steel, joints and surface preparation of the overlay, and what it does to deflection and life."""
