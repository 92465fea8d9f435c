"""Checks files against PDF/A-3a and PDF/UA-1 with an independent validator
(page-validation). Prints each failed rule; ends with 1 if there is one."""

import sys

import page

profiles = [page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1]
files = [a for a in sys.argv[1:] if not a.startswith("--")]
if "--ua-only" in sys.argv:
    profiles = profiles[1:]
failed = 0
for file in files:
    for profile in profiles:
        report = str(page.validate_pdf(file, profile=profile))
        if "0 failed" not in report.split("Rules:")[1].splitlines()[0]:
            failed += 1
            print(file, profile)
            print("\n".join(report.splitlines()[:30]))
sys.exit(1 if failed else 0)
