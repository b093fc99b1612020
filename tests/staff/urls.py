"""The product's addresses with platform staff's tables among them."""

from django.urls import path

from projects.staff.site import made
from projects.urls import *  # noqa: F403
from projects.urls import urlpatterns as theirs

site = made()
urlpatterns = [path("platform-7f3a/", site.urls), *theirs]
