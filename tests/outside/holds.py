"""Whether pyHanko finds at least one signature in a file and every one of them
intact, trusted, over the whole revision, with nothing forbidden behind it.
    holds.py FILE ROOT...
Ends with 0 if so, else with 1 and the reason."""

import sys

from pyhanko.keys import load_cert_from_pemder
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

roots = [load_cert_from_pemder(path) for path in sys.argv[2:]]
try:
    with open(sys.argv[1], "rb") as file:
        found = PdfFileReader(file, strict=True).embedded_signatures
        if not found:
            sys.exit("there is no signature")
        for one in found:
            context = ValidationContext(trust_roots=roots, allow_fetching=False)
            status = validate_pdf_signature(one, context)
            print(one.field_name, status.summary())
            if not status.bottom_line:
                sys.exit("a signature does not hold")
except SystemExit:
    raise
except Exception as why:  # a file it can't read does not hold
    sys.exit(f"{type(why).__name__}: {why}")
