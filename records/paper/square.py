"""A drawn square that phones read (ISO/IEC 18004), as SVG."""

from reportlab.graphics.barcode.qr import QrCodeWidget

QUIET = 4  # modules of white about it, which readers need


def square_svg(text: str) -> str:
    """The square for the text: black modules on white, with a word for who cannot see it."""
    code = QrCodeWidget(text, barLevel="M").qr
    code.make()
    size = code.getModuleCount()
    path = "".join(f"M{x + QUIET} {y + QUIET}h1v1h-1z" for y in range(size) for x in range(size) if code.isDark(y, x))
    whole = size + 2 * QUIET
    told = 'role="img" aria-label="A square for your phone to read" shape-rendering="crispEdges"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {told} viewBox="0 0 {whole} {whole}">'
        f'<rect width="{whole}" height="{whole}" fill="#fff"/><path d="{path}" fill="#000"/></svg>'
    )
