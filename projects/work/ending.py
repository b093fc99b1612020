"""Whether this process was asked to end. The signals' flag and nothing else."""

import signal

_ending = False


def is_ending():
    """Running work then goes back into the queue at its next step."""
    return _ending


def end_on_signals():
    for each in (signal.SIGTERM, signal.SIGINT):
        signal.signal(each, _asked_to_end)


def _asked_to_end(number, frame):
    global _ending
    if _ending:  # the second time: at once; what ran is taken up again by the next worker
        signal.signal(number, signal.SIG_DFL)
        signal.raise_signal(number)
    _ending = True
