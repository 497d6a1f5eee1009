"""A stage of one table that no list of the program knows: its declaration and its computation, as a room would hold them."""
