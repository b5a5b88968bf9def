"""How much search is still allowed."""

from __future__ import annotations


class OutOfNodesError(Exception):
    """The node limit ended a search before it was decided."""


class Budget:
    """A count of search nodes; ``part`` of it can be set aside so that one hard question does not eat it all."""

    __slots__ = ("left", "spent")

    def __init__(self, nodes: int) -> None:
        self.left = nodes
        self.spent = 0

    def spend(self, nodes: int = 1) -> None:
        """Count nodes. Raises OutOfNodesError where none is left."""
        if self.left <= 0:
            raise OutOfNodesError
        self.left -= nodes
        self.spent += nodes

    def charge(self, nodes: int) -> None:
        """Count work that is bounded by itself and was done whatever is left; what comes after it has less."""
        self.left -= nodes
        self.spent += nodes

    def part(self, nodes: int) -> Budget:
        """A budget of its own with at most so many nodes; hand it to ``take_back`` afterwards."""
        return Budget(min(nodes, self.left))

    def take_back(self, part: Budget) -> None:
        """Count what a part has spent."""
        self.left -= part.spent
        self.spent += part.spent
