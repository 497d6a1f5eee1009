"""The road strip."""
