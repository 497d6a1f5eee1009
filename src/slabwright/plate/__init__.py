"""The layered plate by finite elements: grid, assembly, contact, loads and response."""
