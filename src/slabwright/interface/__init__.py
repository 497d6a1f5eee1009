"""The face between overlay and old slab: its strength under shear and tension together, and how that grows."""
