"""Food records and where they come from."""
