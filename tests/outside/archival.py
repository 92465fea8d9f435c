"""Checks files against PDF/A-3a and PDF/UA-1 with an independent validator
(page-validation). Prints each failed rule; ends with 1 if there is one.

    archival.py [--ua-only] [--two-signatures] FILE...

With --two-signatures one rule of this validator may fail, once: it wants the range of
bytes of every signature to reach the end of the file. ISO 19005-3, 6.4.3 has the digest
computed over the file as it was signed; what a first signature covers ends with its
revision (ISO 32000-1, 12.8.1), since nothing can sign what is added behind it."""

import re

import sys

import page

profiles = [page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1]
files = [a for a in sys.argv[1:] if not a.startswith("--")]
if "--ua-only" in sys.argv:
    profiles = profiles[1:]
EARLIER = ["PDFA3A-SIGNATURE-BYTERANGE-001"] if "--two-signatures" in sys.argv else []
failed = 0
for file in files:
    for profile in profiles:
        report = str(page.validate_pdf(file, profile=profile))
        rules = re.findall(r"^\[(\S+)\]", report, re.MULTILINE)
        count = int(re.search(r"Checks: (\d+) failed", report).group(1))
        if count != len(rules) or rules not in ([], EARLIER):
            failed += 1
            print(file, profile)
            print("\n".join(report.splitlines()[:30]))
sys.exit(1 if failed else 0)
