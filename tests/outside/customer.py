"""Signs the customer's empty field with pyHanko, with a plain frame in place of
its usual stamp, whose font is not embedded (PDF/A and PDF/UA forbid that), and
without its new description of the file, which drops the extension schema PDF/A
asks for.
    customer.py IN.pdf OUT.pdf KEY CERTIFICATE ROOT [--describe] [--pss] [--sha1]"""

import sys

from pyhanko import stamp
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers

source, target, key, certificate, root = sys.argv[1:6]
more = sys.argv[6:]
signer = signers.SimpleSigner.load(key, certificate, ca_chain_files=[root], prefer_pss="--pss" in more)
metadata = signers.PdfSignatureMetadata(
    field_name="customer",
    reason="accepted",
    subfilter=fields.SigSeedSubFilter.PADES,
    md_algorithm="sha1" if "--sha1" in more else "sha256",
)
with open(source, "rb") as file, open(target, "wb") as out:
    writer = IncrementalPdfFileWriter(file)
    if "--describe" not in more:
        writer._update_meta = lambda: None
    style = stamp.StaticStampStyle(border_width=1, background=None)
    signers.PdfSigner(metadata, signer, stamp_style=style).sign_pdf(writer, existing_fields_only=True, output=out)
