"""The workbook: every flavour costed and labelled, on sheets that print.

:mod:`costing.workbook.book` puts it together and writes it; every sheet, and every section of a
flavour's sheet, has a module of its own. The answers come in finished; nothing is worked out here
but sums of what stands on the sheet.
"""
