"""Where things are: lanes, directions, limits, sections and pavement of a station, areas."""
