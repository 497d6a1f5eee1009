"""Alembic's folder: ``env.py`` and one file for each format of the project file, never edited once released."""
