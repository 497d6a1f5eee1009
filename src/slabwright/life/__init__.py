"""Fatigue life at a reliability."""
