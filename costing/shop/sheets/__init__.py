"""A shop in a workbook: its sheets become the same entries and rows as the files of a folder, and come from them."""
