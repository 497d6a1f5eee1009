"""Frozen records that the rooms exchange: facts, decisions, findings and results."""
