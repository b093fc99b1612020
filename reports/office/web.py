"""The search page, and the page that says which keys do what."""

from django.shortcuts import redirect, render

from reports.office import search as searching


def search(request):
    typed = request.GET.get("q", "")[: searching.LONGEST].replace("\0", " ").strip()
    words = searching.words_of(typed)
    groups = searching.search(request.member, words)
    only = [each for group in groups for each in group.found]
    if len(only) == 1 and "go" in request.GET:
        return redirect(only[0].address)
    return render(request, "office/search.html", {"typed": typed, "groups": groups, "words": words})


def keys(request):
    return render(request, "office/keys.html")
