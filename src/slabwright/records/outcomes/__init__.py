"""Result tables, one file a stage; each file lists its own in ``TABLES``."""
