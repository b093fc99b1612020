"""A kept picture as an answer. Who may see it is settled before."""

from django.http import FileResponse, Http404, HttpResponseNotModified
from django.utils.http import parse_etags

from projects.files import store


def picture_answer(request, shop_id, name):
    """The file of this name, or 404 when it is gone.

    A browser may keep it, and asks each time: the next person at the same phone sees it only signed in. A file is
    never written over, so its name says whether it is the same.
    """
    tag = f'"{name}"'
    if tag in (each.removeprefix("W/") for each in parse_etags(request.headers.get("If-None-Match", ""))):
        answer = HttpResponseNotModified()
    else:
        try:
            answer = FileResponse(store.path_of(shop_id, name).open("rb"), content_type="image/jpeg")
        except FileNotFoundError as gone:
            raise Http404 from gone
    answer["ETag"], answer["Cache-Control"] = tag, "private, no-cache"
    return answer
