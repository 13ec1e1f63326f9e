"""The colours of the flow pictures: those of the workbook's sheets, and lighter grounds of them.

They are written here as well because the workbook's own module needs a spreadsheet library, and a picture does not.
No colour means anything by itself: what is lost falls, what is saved or boiled off rises, and every end says in words
what it is.
"""

from __future__ import annotations

INK = "1E2A33"
QUIET = "55636E"
PINE = "1F4B4A"
MIST = "E4ECEA"
PALE = "F4F7F6"
LINE = "B9C6C3"
CREAM = "FBF3E2"
RUST = "8C3B12"
WHITE = "FFFFFF"

# ground and edge of each kind of band
BOUGHT = ("D3DFDC", "98ABA7")
MADE = ("9DBCB8", "6B928D")
HELD = ("5F8E8A", "3D6B68")
LOST = ("E2A987", RUST)
SAVED = ("F3DDAF", "A67C2E")
STEAM = ("E6ECF1", "8A98A3")
