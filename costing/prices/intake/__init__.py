"""Price lists as suppliers send them: read in their own columns, understood once for each supplier, kept for good.

A list goes through these rooms: :mod:`opened` (bytes to sheets), :mod:`heads` (which column is which),
:mod:`matching` (which item is which ingredient), :mod:`mapping` (what the owner has confirmed, as text in the shop
folder), :mod:`lines` (items, packs, prices), :mod:`compare` (what is odd beside the list before), :mod:`put` (one dated
file, the original beside it), and :mod:`add`, which calls them in turn.
"""
