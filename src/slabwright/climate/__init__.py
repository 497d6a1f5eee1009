"""Weather, heat in the pavement, temperature classes of a year."""
