"""What day it is: the computer's, or the day of ``CREAMERY_TODAY`` in the environment.

Prices, rates and rules of the law go by the day. An answer that must come out again, such as one in a manual, names it.

>>> import os
>>> os.environ["CREAMERY_TODAY"] = "2026-03-02"
>>> today()
datetime.date(2026, 3, 2)
>>> del os.environ["CREAMERY_TODAY"]
"""

from __future__ import annotations

import os
from datetime import date

from costing.findings import Finding, ShopError

VARIABLE = "CREAMERY_TODAY"


def today() -> date:
    """The day.

    Raises:
        ShopError: ``CREAMERY_TODAY`` is no day.
    """
    said = os.environ.get(VARIABLE)
    if not said:
        return date.today()
    try:
        return date.fromisoformat(said)
    except ValueError:
        what = f"{VARIABLE} in the environment is {said!r}, and no day"
        raise ShopError((Finding("error", VARIABLE, what, "write it like 2026-03-02, or take it away"),)) from None
