"""One slab on a foundation: closed forms, plate integrals, load transfer, serviceability."""
