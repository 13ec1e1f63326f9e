"""United States: Title 21 of the Code of Federal Regulations and the acts behind it, one module for each matter."""
