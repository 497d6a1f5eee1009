"""When trucks pass within a day."""

from __future__ import annotations

import numpy as np

from slabwright.calculation import Array
from slabwright.errors import InputError

__all__ = ["HOURLY_TRUCK_SHARE", "truck_hours"]

# Per cent of a day's trucks in each hour from midnight: mean of seven years between 2004 and 2014 on one Ohio road,
# Long-Term Pavement Performance database, US Federal Highway Administration.
HOURLY_TRUCK_SHARE = (
    2.35,
    1.94,
    1.85,
    2.03,
    2.61,
    3.17,
    3.97,
    4.73,
    5.41,
    5.56,
    5.79,
    6.01,
    6.12,
    6.27,
    6.21,
    5.93,
    5.54,
    5.01,
    4.41,
    3.81,
    3.30,
    2.91,
    2.64,
    2.41,
)


def truck_hours(hour: Array, share_by_hour: Array | None = None) -> Array:
    """Share [1] of a year's trucks in each hour of the year, sum 1, for hours (n,) named by their end, 1 to 24.

    share_by_hour: (24,) of a day from midnight in any unit, the recorded default unless given. Raises InputError unless
    it has 24 shares of zero or more that do not add up to zero.
    """
    share = np.asarray(HOURLY_TRUCK_SHARE if share_by_hour is None else share_by_hour, dtype=np.float64)
    if share.shape != (24,) or not (np.isfinite(share) & (share >= 0)).all() or share.sum() <= 0:
        raise InputError("the trucks of a day need 24 shares of zero or more", given=share.tolist())
    found = share[np.asarray(hour, dtype=np.int64) - 1]
    return np.asarray(found / found.sum(), dtype=np.float64)
