"""What the machine itself may lack when a request fails: room on a disk, or its database. Knows no request.

Codes: sqlite.org/rescode.html; PostgreSQL, appendix A, error codes.
"""

import errno

NO_ROOM, AWAY = 507, 503  # RFC 4918, 11.5; RFC 9110, 15.6.4
FULL_ERRNO = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
# SQLITE_FULL; SQLITE_IOERR of write, fsync, truncate and of a grown shared memory: nothing was written
FULL_SQLITE = {13, 778, 1034, 1546, 4874}
BUSY_SQLITE = {5, 6}  # somebody held the file or a table for longer than the timeout
FULL_STATE, AWAY_STATES = "53100", ("08", "57P0", "40001", "40P01", "55P03", "53300")


def lacking(error: BaseException | None) -> int | None:
    """NO_ROOM, AWAY, or None for a fault of ours; looked for in what led to the error as well."""
    while error is not None:
        if found := _lacking(error):
            return found
        error = error.__cause__ or error.__context__
    return None


def _lacking(error: BaseException) -> int | None:
    lite, state = getattr(error, "sqlite_errorcode", None), getattr(error, "sqlstate", None) or ""
    if lite in FULL_SQLITE or state == FULL_STATE or (isinstance(error, OSError) and error.errno in FULL_ERRNO):
        return NO_ROOM
    if (lite is not None and lite & 0xFF in BUSY_SQLITE) or state.startswith(AWAY_STATES):
        return AWAY
    return None
