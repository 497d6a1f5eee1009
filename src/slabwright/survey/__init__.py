"""What the road shows: basins, cores, distress quantities, homogeneous sections."""
