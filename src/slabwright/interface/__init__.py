"""Two layers joined: composite sections, partial interaction, strips with edge shear and peel, joined plates."""
