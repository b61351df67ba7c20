"""Writers: document nodes to Word and page, drawings to SVG and PNG."""


class UnfitStyle(Exception):
    """A style file that no document can be written in."""
