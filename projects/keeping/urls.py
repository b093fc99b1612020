"""Addresses of the owner's pages."""

from django.urls import path

from projects.keeping import lists_web, web

urlpatterns = [
    path("shop/keeping/", web.shop_keeping, name="shop_keeping"),
    path("shop/keeping/file/", web.shop_file, name="shop_file"),
    path("shop/lists/", lists_web.shop_lists, name="shop_lists"),
    path("shop/lists/file/", lists_web.shop_lists_file, name="shop_lists_file"),
]
