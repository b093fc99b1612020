from django.urls import path

from reports.figures import web

urlpatterns = [
    path("figures/", web.figures, name="figures"),
    path("figures/<str:figure_name>/", web.figure, name="figure"),
]
