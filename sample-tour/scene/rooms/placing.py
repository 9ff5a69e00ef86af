"""Puts furniture against walls and on tables in a room's own terms, so that the room files read as a list."""

from house import ROOMS
from pieces import BACK_TO


class Placing:
    """One room's walls and floor."""

    def __init__(self, room_id):
        self.room = ROOMS[room_id]
        self.level = self.room.level

    def wall(self, side, along, height=0.0, off=0.0):
        """A place on a wall and the turn that puts a piece's back to it."""
        room = self.room
        x, y = {
            "north": (along, room.north - off),
            "south": (along, room.south + off),
            "west": (room.west + off, along),
            "east": (room.east - off, along),
        }[side]
        return (x, y, self.level + height), BACK_TO[side]

    def against(self, piece, side, along, height=0.0, off=0.0, turn_deg=0.0):
        """Puts a piece with its back to a wall."""
        at, turn = self.wall(side, along, height, off)
        return piece.put(at, turn + turn_deg)

    def stand(self, piece, x, y, height=0.0, turn_deg=0.0, scale=1.0):
        """Puts a piece on the floor, or at a height above it."""
        return piece.put((x, y, self.level + height), turn_deg, scale=scale)
