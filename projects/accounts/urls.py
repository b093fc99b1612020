from django.urls import path

from projects.accounts import web

urlpatterns = [
    path("shops/", web.choose_shop, name="choose_shop"),
    path("shop/rules/", web.shop_rules, name="shop_rules"),
    path("shop/people/", web.people, name="people"),
    path("shop/people/<int:member_id>/", web.person, name="person"),
    path("tokens/", web.own_tokens, name="own_tokens"),
    path("language/", web.own_language, name="own_language"),
    path("alive/", web.alive, name="alive"),
]
