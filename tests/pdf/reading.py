"""What programs that know nothing of how a PDF was made find in it."""

import cv2
import numpy
import zxingcpp

from tests.pdf.reread import DPI, MM_PER_PT, addresses, pages, pictures, texts

__all__ = [
    "DPI",
    "MM_PER_PT",
    "addresses",
    "by_opencv",
    "by_zxing",
    "pages",
    "pictures",
    "texts",
]


def by_zxing(image):
    return [code.text for code in zxingcpp.read_barcodes(image)]


def by_opencv(image):
    """What OpenCV decodes, which shares no code with ZXing.

    It is shown each code by itself, as a telephone frames it: of a whole sheet its
    finders miss some.
    """
    found = set()
    for code in zxingcpp.read_barcodes(image):
        corners = code.position.top_left, code.position.bottom_right
        margin = abs(corners[1].x - corners[0].x) // 4
        box = (
            min(corner.x for corner in corners) - margin,
            min(corner.y for corner in corners) - margin,
            max(corner.x for corner in corners) + margin,
            max(corner.y for corner in corners) + margin,
        )
        pixels = cv2.cvtColor(numpy.asarray(image.crop(box)), cv2.COLOR_RGB2GRAY)
        for detector in (cv2.QRCodeDetector(), cv2.QRCodeDetectorAruco()):
            text, _, _ = detector.detectAndDecode(pixels)
            found |= {text} - {""}
    return found
