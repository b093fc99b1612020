"""Days of a warranty. Pure."""

import calendar
import datetime as dt


def last_day(starts_on: dt.date, months: int) -> dt.date:
    """The last day of so many months from a day on: from May 3, 12 months end on May 2 of the next year.

    Where the month has no such day, it ends on the month's last: from August 31, 6 months end on February 28 or 29.
    """
    year, month = divmod(starts_on.year * 12 + starts_on.month - 1 + months, 12)
    longest = calendar.monthrange(year, month + 1)[1]
    if starts_on.day > longest:
        return dt.date(year, month + 1, longest)
    return dt.date(year, month + 1, starts_on.day) - dt.timedelta(days=1)
