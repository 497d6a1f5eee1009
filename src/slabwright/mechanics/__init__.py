"""Physics that no stage owns: slab on foundation, composite sections, fatigue, statistics."""
