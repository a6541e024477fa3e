"""Reads the square codes in pictures with zxing-cpp, a reader by others, and prints what each holds.

One JSON object a line comes in, {"picture": PATH, "grey": true or false, "factor": NUMBER}; the picture is made grey and
scaled by the factor before it is read. One list of texts a line goes out, in the same order.
"""

import json
import sys

try:
    import zxingcpp
    from PIL import Image
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing")

for line in sys.stdin:
    question = json.loads(line)
    picture = Image.open(question["picture"]).convert("L" if question["grey"] else "RGB")
    if question["factor"] != 1:
        size = [max(1, round(side * question["factor"])) for side in picture.size]
        picture = picture.resize(size, Image.Resampling.BILINEAR)
    codes = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    print(json.dumps([code.text for code in codes]))
