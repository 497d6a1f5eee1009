"""What must be mended before the overlay: marked out and measured."""
