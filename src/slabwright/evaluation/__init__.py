"""What is left of the old slab: moduli, joints, voids, remaining life, suitability."""
