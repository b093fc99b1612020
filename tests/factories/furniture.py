"""What stands in a room."""

from factory import SelfAttribute, SubFactory

from layout.engine.lengths import feet, inches
from layout.furniture.models import KeptPiece, Piece
from tests.factories.base import Below
from tests.factories.jobs import RoomFactory
from tests.factories.layout import LayoutRevisionFactory


class PieceFactory(Below):
    """A sofa 7 ft by 3 ft, its back to the door's wall."""

    class Meta:
        model = Piece

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    name = "sofa"
    left = inches(30)
    door = inches(6)
    wide = feet(7)
    deep = feet(3)


class KeptPieceFactory(Below):
    class Meta:
        model = KeptPiece

    _above = "revision__room__job"
    revision = SubFactory(LayoutRevisionFactory)
    name = "sofa"
    left = inches(30)
    door = inches(6)
    wide = feet(7)
    deep = feet(3)
    marks = "A1,A2"
