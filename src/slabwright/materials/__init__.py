"""What concrete is and becomes: growth of strength with age, shrinkage, creep, and stress under restraint."""
