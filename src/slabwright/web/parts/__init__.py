"""Widgets that several pages share."""
