"""What keeps a label from being drawn."""

from __future__ import annotations


class CannotDrawError(ValueError):
    """A label that cannot be drawn as the law wants it.

    Args:
        what: what is wrong, one sentence without a point.
        mend: what to do about it.
        rule: the paragraph, empty for none.
    """

    def __init__(self, what: str, mend: str, rule: str = "") -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend
        self.rule = rule


class NoRoomError(CannotDrawError):
    """Something does not fit at its least legal size.

    Args:
        what: what is wrong.
        mend: what to do about it.
        rule: the paragraph.
        lacking_in: how much higher its place would have to be, inches.
    """

    def __init__(self, what: str, mend: str, rule: str = "", lacking_in: float = 0.0) -> None:
        super().__init__(what, mend, rule)
        self.lacking_in = lacking_in
