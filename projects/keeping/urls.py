"""Addresses of the owner's pages."""

from django.urls import path

from projects.keeping import web

urlpatterns = [
    path("shop/keeping/", web.shop_keeping, name="shop_keeping"),
    path("shop/keeping/file/", web.shop_file, name="shop_file"),
]
