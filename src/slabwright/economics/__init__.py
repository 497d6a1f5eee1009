"""What it costs: quantities of repairs and overlay at their unit prices."""
