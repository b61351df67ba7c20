"""Writers: document nodes to Word and page, drawings to SVG and PNG."""

from docgen.stop import Stop


class UnfitStyle(Stop):
    """A style file that no document can be written in."""
