from django.urls import path

from reports.purchasing import room_web, shelf_web, web

JOB = "jobs/<int:job_id>/"
ORDER = JOB + "orders/<int:order_number>/"
ROOM = "rooms/<int:room_id>/"
LIST = ROOM + "pick-lists/<int:pick_number>/"

urlpatterns = [
    path(JOB + "material/", web.material, name="material"),
    path(JOB + "material/order/", web.order_material, name="order_material"),
    path(ORDER, web.material_order, name="material_order"),
    path(ORDER + "receive/", web.receive_material, name="receive_material"),
    path(ORDER + "not-coming/", web.give_up_material, name="give_up_material"),
    path(JOB + "order-lines/<int:line_id>/promise/", web.promise_material, name="promise_material"),
    path(JOB + "stock/", web.job_stock, name="job_stock"),
    path(JOB + "stock/carry/", web.carry_material, name="carry_material"),
    path(JOB + "movements/<int:movement_id>/take-back/", web.take_back_movement, name="take_back_movement"),
    path(ROOM + "material/", room_web.room_material, name="room_material"),
    path(ROOM + "pick-lists/", room_web.write_pick_list, name="write_pick_list"),
    path(LIST, room_web.pick_list, name="pick_list"),
    path(LIST + "pick/", room_web.pick_material, name="pick_material"),
    path(LIST + "bring-back/", room_web.bring_back_material, name="bring_back_material"),
    path("leftovers/", shelf_web.leftovers, name="leftovers"),
    path("leftovers/count/", shelf_web.count_leftovers, name="count_leftovers"),
    path("leftovers/<int:leftover_id>/take/", shelf_web.take_leftovers, name="take_leftovers"),
]
