from django.urls import path

from reports.close_out import web

JOB = "jobs/<int:job_id>/"

urlpatterns = [
    path(JOB + "packets/", web.packets, name="packets"),
    path(JOB + "packets/<int:packet_id>/", web.packet_file, name="packet_file"),
    path(JOB + "warranties/", web.warrant, name="warrant"),
    path("warranties/<int:warranty_id>/take-back/", web.take_back_warranty, name="take_back_warranty"),
]
