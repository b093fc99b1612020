"""Is this the person? Each guess is counted first, by account and by place, then looked at."""

import unicodedata

from django.contrib.auth import authenticate

from projects.doors import pace
from projects.doors.devices import known_device
from projects.doors.letters import write_letter
from projects.platform.address import client_address, counted_as


def same_address(email):
    """An e-mail as accounts are told apart by: compatible forms folded (NFKC), no capitals."""
    return unicodedata.normalize("NFKC", email).strip().casefold()


def signed_in_by(request, email, password):
    """The user, or None when the two don't match. Raises TooOften.

    Nothing here depends on whether the e-mail is known, but for the one comparison inside `authenticate`, which takes
    as long for an e-mail that nobody has.
    """
    counted = _count(request, email)
    user = authenticate(request, username=email, password=password)
    if user is not None:
        for each, whom in counted:
            pace.give_back(each, whom)
    return user


def _count(request, email):
    if device := known_device(request, email):
        pace.take(pace.KNOWN_DEVICE, device)
        return [(pace.KNOWN_DEVICE, device)]
    place = counted_as(client_address(request))
    pace.take(pace.FROM_A_PLACE, place)
    try:
        pace.take(pace.SIGN_IN, email)
    except pace.TooOften:
        _tell(email)
        raise
    return [(pace.FROM_A_PLACE, place), (pace.SIGN_IN, email)]


def _tell(email):
    """Once a day, by letter, to whoever has the account: the queue finds out whether anybody has."""
    try:
        pace.take(pace.TOLD, email)
    except pace.TooOften:
        return
    write_letter.enqueue("guesses", email)
