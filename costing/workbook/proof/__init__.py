"""What stands behind the labels, as sheets: evidence, how sure, statements, added sugars, and the panels.

They are written where somebody hands the evidence over (:class:`costing.workbook.proof.book.Proofs`).
"""
