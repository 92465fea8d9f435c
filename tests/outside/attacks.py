"""Makes attacked copies of a signed record, with programs that know nothing of
it: attack-*.pdf in the present folder.
    attacks.py SHOP.pdf BOTH.pdf"""

import subprocess
import sys

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.generic import pdf_name
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

shop, both = sys.argv[1:3]


def revised(source, target, change):
    """A further revision, made by an incremental writer."""
    with open(source, "rb") as file:
        writer = IncrementalPdfFileWriter(file)
        change(writer)
        with open(target, "wb") as out:
            writer.write(out)


def first_page(writer):
    return writer.find_page_for_modification(0)[0].get_object()


def text_over(writer):
    page = first_page(writer)
    stream = generic.StreamObject(stream_data=b"q 1 0 0 rg 60 400 300 60 re f Q")
    added = writer.add_object(stream)
    old = page.raw_get("/Contents")
    kept = list(old.get_object()) if isinstance(old.get_object(), generic.ArrayObject) else [old]
    page["/Contents"] = generic.ArrayObject([*kept, added])
    writer.update_container(page)


def annotation(writer):
    page = first_page(writer)
    note = generic.DictionaryObject(
        {
            pdf_name("/Type"): pdf_name("/Annot"),
            pdf_name("/Subtype"): pdf_name("/FreeText"),
            pdf_name("/Rect"): generic.ArrayObject([generic.NumberObject(n) for n in (60, 400, 360, 460)]),
            pdf_name("/Contents"): generic.TextStringObject("torque checked"),
            pdf_name("/DA"): generic.TextStringObject("/Helv 12 Tf"),
            pdf_name("/F"): generic.NumberObject(4),
        }
    )
    page["/Annots"] = generic.ArrayObject([writer.add_object(note)])
    writer.update_container(page)


def attachment(writer):
    files = writer.root["/Names"]["/EmbeddedFiles"]
    while "/Kids" in files:
        files = files["/Kids"][0]
    spec = files["/Names"][1]
    spec["/EF"]["/F"] = writer.add_object(generic.StreamObject(stream_data=b"{}"))
    writer.update_container(spec["/EF"])


for name, source in (("shop", shop), ("both", both)):
    revised(source, f"attack-text-over-a-page-{name}.pdf", text_over)
    revised(source, f"attack-an-annotation-{name}.pdf", annotation)
    data = bytearray(open(source, "rb").read())
    data[len(data) // 3] ^= 1
    open(f"attack-a-flipped-byte-{name}.pdf", "wb").write(data)
    subprocess.run(["qpdf", source, f"attack-rewritten-{name}.pdf"], check=True)
revised(shop, "attack-another-attachment.pdf", attachment)
# The shop's signature cut off: the first revision alone.
data = open(shop, "rb").read()
open("attack-the-last-revision-removed.pdf", "wb").write(data[: data.index(b"%%EOF") + 5])
