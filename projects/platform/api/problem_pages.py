"""The pages that a problem's `type` leads to. Anybody may read them; they tell of no shop."""

from django.http import Http404
from django.shortcuts import render
from django.urls import path

from projects.platform.api.problem_types import TYPES

BY_SLUG = {one.slug: one for one in TYPES.values()}


def problems(request):
    return render(request, "problems/problems.html", {"types": list(TYPES.values())})


def problem(request, problem_slug):
    if problem_slug not in BY_SLUG:
        raise Http404
    return render(request, "problems/problem.html", {"type": BY_SLUG[problem_slug]})


urlpatterns = [
    path("problems/", problems, name="problems"),
    path("problems/<slug:problem_slug>/", problem, name="problem"),
]
