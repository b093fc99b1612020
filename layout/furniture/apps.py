from django.apps import AppConfig


class FurnitureConfig(AppConfig):
    name = "layout.furniture"
    label = "furniture"

    def ready(self):
        from layout.furniture.models import KeptPiece
        from layout.furniture.services import copy_pieces, keep_pieces
        from layout.services import also_issued
        from projects.jobs.services import on_copy
        from projects.trash.purging import goes_with_room

        if keep_pieces not in also_issued:
            also_issued.append(keep_pieces)
        if copy_pieces not in on_copy:
            on_copy.append(copy_pieces)
        goes_with_room(KeptPiece, "revision__room")
