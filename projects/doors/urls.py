from django.urls import path

from projects.doors import second_web, web
from projects.platform.security import security_txt

urlpatterns = [
    path("sign-in/", web.sign_in, name="sign_in"),
    path("sign-in/code/", second_web.sign_in_code, name="sign_in_code"),
    path("password/second/", second_web.second_factor, name="second_factor"),
    path("sign-out/", web.sign_out, name="sign_out"),
    path(".well-known/security.txt", security_txt, name="security_txt"),
    path("step-up/", web.step_up_page, name="step_up"),
    path("password/", web.own_password, name="own_password"),
    path("password/lost/", web.lost_password, name="lost_password"),
    path("password/new/<str:reset>/", web.new_password, name="new_password"),
    path("invitations/<str:invitation>/", web.invitation, name="invitation"),
    path("shop/people/invitations/<int:invitation_id>/again/", web.invitation_again, name="invitation_again"),
    path(
        "shop/people/invitations/<int:invitation_id>/take-back/",
        web.take_back_invitation,
        name="take_back_invitation",
    ),
]
