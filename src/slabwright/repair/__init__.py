"""What must be mended before the overlay: marked out, measured and priced."""
