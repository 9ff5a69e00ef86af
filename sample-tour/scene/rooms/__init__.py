"""The rooms of Larkmere Mill, one file a room: what stands where."""

from rooms import bedroom, hall, kitchen, landing, sitting_room, terrace

ALL = (hall, kitchen, sitting_room, landing, bedroom, terrace)
