"""The living workbook: money by formulas, from cells that an owner may change to margins and to the summary."""
