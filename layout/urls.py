from django.urls import include, path

from layout import web
from layout.offers import web as offers_web
from layout.on_site import web as site_web
from layout.whole_job import web as whole_job_web

urlpatterns = [
    path("", include("layout.editor.urls")),
    path("", include("layout.suit.urls")),
    path("", include("layout.switching.urls")),
    path("", include("layout.light.urls")),
    path("", include("layout.sound.urls")),
    path("", include("layout.as_built.urls")),
    path("", include("layout.alike.urls")),
    path("", include("layout.furniture.urls")),
    path("jobs/<int:job_id>/lay-out/", whole_job_web.lay_out_job, name="lay_out_job"),
    path("rooms/<int:room_id>/", web.room, name="room"),
    path("rooms/<int:room_id>/preview/", web.room_preview, name="room_preview"),
    path("rooms/<int:room_id>/issue/", web.issue_revision, name="issue_revision"),
    path("rooms/<int:room_id>/ways/take/", offers_web.take_way, name="take_way"),
    path("rooms/<int:room_id>/ways/put-back/", offers_web.put_way_back, name="put_way_back"),
    path("rooms/<int:room_id>/on-site/", site_web.found_on_site, name="on_site"),
    path("rooms/<int:room_id>/on-site/answer/", site_web.answer_site_move, name="answer_site_move"),
    path("rooms/<int:room_id>/other-layouts/", offers_web.other_layouts, name="other_layouts"),
    path("rooms/<int:room_id>/revisions/<int:number>/", web.revision, name="revision"),
    path("rooms/<int:room_id>/revisions/<int:number>/approve/", web.approve_revision, name="approve_revision"),
]
