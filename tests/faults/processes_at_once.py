"""Several processes on one database, parted from this one: each with a connection of its own, all begun together."""

import multiprocessing
import traceback

from django.db import connections

PATIENCE = 3600  # seconds for all of them; nothing is asserted about time


def at_once(count, do, *more):
    """What do(place, barrier, *more) gave in each of `count` processes. Raises AssertionError with what broke."""
    kind = multiprocessing.get_context("fork")
    barrier = kind.Barrier(count)
    connections.close_all()  # no two processes share one connection
    pipes, processes = [], []
    for place in range(count):
        ours, theirs = kind.Pipe(duplex=False)
        process = kind.Process(target=_run, args=(theirs, do, place, barrier, more))
        process.start()
        theirs.close()
        pipes.append(ours)
        processes.append(process)
    told = [_told(pipe, barrier) for pipe in pipes]
    for process in processes:
        process.join()
    broken = [said for said, _ in told if said]
    assert not broken, "\n".join(broken)
    return [given for _, given in told]


def _told(pipe, barrier):
    try:
        return pipe.recv() if pipe.poll(PATIENCE) else ("it never came back", None)
    except EOFError:
        barrier.abort()
        return "it died", None


def _run(pipe, do, place, barrier, more):
    try:
        told = None, do(place, barrier, *more)
    except BaseException:
        barrier.abort()
        told = traceback.format_exc(), None
    finally:
        connections.close_all()
    pipe.send(told)
    pipe.close()
