"""What a machine does along the lines of each role: the layer and the colour that stand for it."""

from dataclasses import dataclass

from templategen.parts.drawing import Role


@dataclass(frozen=True, slots=True)
class Operation:
    """A step of a machine: name of its layer, colour as red, green and blue of 255."""

    layer: str
    colour: tuple[int, int, int]

    @property
    def hex(self) -> str:
        """The colour as CSS writes it.

        >>> Operation("cut", (255, 0, 0)).hex
        '#ff0000'
        """
        return "#" + "".join(f"{part:02x}" for part in self.colour)


OPERATIONS = {  # in the order in which they are run: nothing is marked on a piece that is loose
    Role.NOTE: Operation("engrave", (0, 0, 0)),
    Role.MARK: Operation("mark", (0, 0, 255)),
    Role.CUT: Operation("cut", (255, 0, 0)),
}
MACHINE_LINE = 0.1  # mm: width that lines for machines are shown with; a machine follows the middle
