"""Pictures as SVG for a page; how each kind of shape looks stands in ``programme.css``."""

from markupsafe import Markup

from planner.adapters.drawing.shapes import Dot, Drawing, Path, Shape


def svg_of(drawing: Drawing) -> Markup:
    """A picture as an element of a page."""
    opening = Markup(
        '<svg class="chart" viewBox="0 0 {0:g} {1:g}" width="{0:g}" height="{1:g}" role="img" '
        'aria-label="{2}">'
    ).format(drawing.width, drawing.height, drawing.title)
    return opening + Markup("").join(map(_element, drawing.shapes)) + Markup("</svg>")


def _element(shape: Shape) -> Markup:
    if isinstance(shape, Path):
        return Markup('<path class="{}" d="{}"/>').format(shape.kind, shape.shape)
    if isinstance(shape, Dot):
        circle = Markup('<circle class="{}" cx="{:g}" cy="{:g}" r="{:g}"/>')
        return circle.format(shape.kind, shape.x, shape.y, shape.radius)
    return Markup('<text class="{}" x="{:g}" y="{:g}">{}</text>').format(
        shape.kind, shape.x, shape.y, shape.text
    )
