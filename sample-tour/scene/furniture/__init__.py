"""Furniture and household things, modelled in metres; one file a kind."""
