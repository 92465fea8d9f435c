#!/usr/bin/env bash
# Signed records, looked at with programs that share no code with this one:
# qpdf, poppler's pdfsig, pyHanko, OpenSSL's time-stamping service, and a
# validator of PDF/A and PDF/UA. Called by .ci/run; installs what it needs.
# What `verify` says is held against what they say, attack by attack.
#   tests/outside/signatures.sh PROGRAM FOLDER
set -euo pipefail
program=$(realpath "$1")
mkdir -p "$2"
folder=$(realpath "$2")
here=$(realpath "$(dirname "$0")")
root=$(realpath "$here/../..")

if ! command -v qpdf >/dev/null || ! command -v pdfsig >/dev/null || ! command -v openssl >/dev/null; then
  command -v apt-get >/dev/null || { echo "qpdf, poppler-utils and openssl are needed" >&2; exit 1; }
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq qpdf poppler-utils openssl >/dev/null
fi
tools=${TACKWRIGHT_OUTSIDE:-$root/target/outside}
if ! [ -x "$tools/bin/pyhanko" ]; then
  python3 -m venv "$tools"
  "$tools/bin/pip" install --quiet 'pyHanko==0.38.0' 'pyhanko-cli==0.6.0' 'page-validation==0.11.0'
fi
pyhanko=$tools/bin/pyhanko
python=$tools/bin/python

good=0
yes() { # what, command...
  local what=$1; shift
  if "$@" >"$folder/said" 2>&1; then good=$((good + 1)); printf '  yes  %s\n' "$what"
  else printf '  NO   %s\n' "$what" >&2; cat "$folder/said" >&2; exit 1; fi
}
no() { # what, command...: it must fail
  local what=$1; shift
  if "$@" >"$folder/said" 2>&1; then printf '  PASSED, and must not: %s\n' "$what" >&2; cat "$folder/said" >&2; exit 1
  else good=$((good + 1)); printf '  yes  refused: %s\n' "$what"; fi
}
says() { # what, text, command...
  local what=$1 text=$2; shift 2
  "$@" >"$folder/said" 2>&1 || true
  if grep -qF -- "$text" "$folder/said"; then good=$((good + 1)); printf '  yes  %s\n' "$what"
  else printf '  NO   %s: "%s" is not said\n' "$what" "$text" >&2; cat "$folder/said" >&2; exit 1; fi
}

# Everything is in a folder of its own: book, keys, job, record.
rm -rf "$folder/work"
mkdir -p "$folder/work"
cd "$folder/work"
cp "$root/jobs/hoist-frame.toml" job.toml
cp "$root/jobs/shop.toml" shop.toml
printf 'five wet weld coupons\n' >passphrase
export SOURCE_DATE_EPOCH=1767225600   # 2026-01-01, before the day of the record
"$program" key new --passphrase-fd 3 3<passphrase >/dev/null 2>&1
export SOURCE_DATE_EPOCH=1772805600   # 2026-03-06
"$program" issue job.toml --at 2026-03-02T08:00:00-06:00 >/dev/null 2>&1
number=$(ls travelers | grep -v jsonl)
"$program" complete "$number" --by LO --passphrase-fd 3 3<passphrase >/dev/null 2>&1
cp "travelers/$number/$number-completed.pdf" shop.pdf
fingerprint=$("$program" key show --json | "$python" -c 'import json,sys; print(json.load(sys.stdin)["root"])')
"$python" - <<'PY'
text = open("seal.pem").read()
end = "-----END CERTIFICATE-----"
blocks = ["-----BEGIN CERTIFICATE-----" + b.split("-----BEGIN CERTIFICATE-----")[1] + end for b in text.split(end)[:-1]]
open("root.crt", "w").write(blocks[1] + "\n")
PY

# A customer with a key of another maker.
end="-days 3650"
openssl req -x509 -newkey rsa:3072 -nodes -keyout c-root.key -out c-root.crt -subj "/O=Invented Customer/CN=customer root" $end \
  -addext basicConstraints=critical,CA:TRUE -addext keyUsage=critical,keyCertSign 2>/dev/null
openssl req -new -newkey rsa:3072 -nodes -keyout customer.key -out customer.csr -subj "/O=Invented Customer/CN=Receiving desk" 2>/dev/null
printf 'basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature,nonRepudiation\n' >leaf.ext
openssl x509 -req -in customer.csr -CA c-root.crt -CAkey c-root.key -CAcreateserial -extfile leaf.ext $end -out customer.crt 2>/dev/null

trust=(--trust root.crt --trust c-root.crt --trust-replace --no-revocation-check)
ours=(--trust "$fingerprint")
validate() { "$pyhanko" sign validate --executive-summary "${trust[@]}" "$1"; }
ades() { "$pyhanko" sign adesverify "${trust[@]}" "$1"; }
archival() { "$python" "$here/archival.py" "$@"; }
# The record of this script is signed and its work is not finished, so `verify` never
# answers 0; what it says of file and signatures is read from its JSON:
#   answer FILE WORD TRUSTED...: WORD is its first line for machines, nothing speaks
#   against the record unless WORD is "altered" or a later signature does not hold
#   ("behind"), and the signers of the fields shop,
#   customer ... lead to a named root (yes) or not (no), in this order.
cat >answer.py <<'PY'
import json, sys
said, (word, *trusted) = json.load(open(sys.argv[1])), sys.argv[2:]
wrong = [c["words"] for c in said["checks"] if c["holds"] is False]
# A later signature that does not hold takes nothing from the record behind which it stands.
behind = word == "behind"
assert word == "altered" or bool(said["behind"]) == behind, said["behind"]
assert said["holds"] == ("not-closed" if behind else word), (said["holds"], wrong)
assert bool(wrong) == (behind or word == "altered"), wrong
assert not said["accepted"]
if word not in ("altered", "behind"):
    assert ["yes" if s["trusted"] else "no" for s in said["signers"]] == trusted, said["signers"]
PY
answer() { # file, trust..., --, word, trusted...
  local file=$1 named=(); shift
  while [ "$1" != -- ]; do named+=("$1"); shift; done
  shift
  local code=0
  "$program" verify "$file" --json "${named[@]}" >answer.json 2>answer.err || code=$?
  [ "$code" -eq 1 ] && "$python" answer.py answer.json "$@" || { cat answer.json answer.err; return 1; }
}

echo "the shop alone"
yes "qpdf" qpdf --check shop.pdf
says "pdfsig: valid" "Signature is Valid" pdfsig -nocert shop.pdf
says "pdfsig: whole" "Total document signed" pdfsig -nocert shop.pdf
says "pdfinfo: form" "AcroForm" pdfinfo shop.pdf
[ "$(pdfinfo -struct shop.pdf 2>/dev/null | grep -c '^ *Form')" -eq 2 ] && good=$((good + 1))
yes "pyHanko validate" validate shop.pdf
yes "pyHanko adesverify" ades shop.pdf
yes "PDF/A-3a and PDF/UA-1" archival shop.pdf
yes "verify" answer shop.pdf "${ours[@]}" -- not-closed yes
openssl verify -CAfile root.crt seal.pem >/dev/null && good=$((good + 1))

echo "a time stamp"
cat >tsa.cnf <<X
[tsa]
default_tsa = t
[t]
serial = tsa.serial
crypto_device = builtin
signer_cert = tsa.crt
certs = c-root.crt
signer_key = tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
ess_cert_id_chain = no
ess_cert_id_alg = sha256
X
echo 01 >tsa.serial
openssl req -new -newkey rsa:2048 -nodes -keyout tsa.key -out tsa.csr -subj "/O=Invented Clock/CN=test clock" 2>/dev/null
printf 'basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature\nextendedKeyUsage=critical,timeStamping\n' >tsa.ext
# The service's clock is this machine's, so a record of this very day is stamped.
day() { SOURCE_DATE_EPOCH=$(date +%s) "$@"; }
openssl x509 -req -in tsa.csr -CA c-root.crt -CAkey c-root.key -CAcreateserial -extfile tsa.ext $end -out tsa.crt 2>/dev/null
mkdir now
cp job.toml shop.toml now/
sed -i '/^seal = /d' now/shop.toml
(
  cd now
  day "$program" key new --passphrase-fd 3 3<../passphrase >/dev/null 2>&1
  day "$program" issue job.toml --at "$(date +%Y-%m-%dT%H:%M:%S%:z)" >/dev/null 2>&1
  day "$program" complete "$number" --by LO --passphrase-fd 3 3<../passphrase >/dev/null 2>&1
  cp "travelers/$number/$number-completed.pdf" ../stamped.pdf
  "$python" - <<'PY'
text = open("seal.pem").read()
end = "-----END CERTIFICATE-----"
blocks = ["-----BEGIN CERTIFICATE-----" + b.split("-----BEGIN CERTIFICATE-----")[1] + end for b in text.split(end)[:-1]]
open("../now-root.crt", "w").write(blocks[1] + "\n")
PY
)
"$program" timestamp stamped.pdf >/dev/null 2>&1
openssl ts -query -in stamped.tsq -text >/dev/null 2>&1 && good=$((good + 1))
openssl ts -reply -queryfile stamped.tsq -config tsa.cnf -section t -out stamped.tsr 2>/dev/null
yes "the reply goes in" "$program" timestamp stamped.pdf --reply stamped.tsr
says "pdfsig: still valid" "Signature is Valid" pdfsig -nocert stamped.pdf
yes "pyHanko adesverify, with the token" "$pyhanko" sign adesverify --trust now-root.crt --trust c-root.crt --trust-replace --no-revocation-check stamped.pdf
yes "PDF/A-3a and PDF/UA-1" archival stamped.pdf
says "verify names the service" "test clock" "$program" verify stamped.pdf --trust now-root.crt --trust c-root.crt
journal=now/travelers/journal.jsonl
yes "a query over the journal" "$program" timestamp "$journal"
openssl ts -reply -queryfile now/travelers/journal-*.tsq -config tsa.cnf -section t -out journal-reply.tsr 2>/dev/null
yes "its reply is kept" "$program" timestamp "$journal" --reply journal-reply.tsr
says "verify says what the service saw" "of the journal, with" "$program" verify stamped.pdf --trust now-root.crt --trust c-root.crt --journal "$journal"
cp shop.pdf wrong.pdf
no "a token over another signature" "$program" timestamp wrong.pdf --reply stamped.tsr

echo "the customer signs with pyHanko in the empty field"
yes "pyHanko signs" "$pyhanko" sign addsig --field customer --use-pades --reason accepted \
  pemder --key customer.key --cert customer.crt --chain c-root.crt --no-pass shop.pdf stamped-by-customer.pdf
yes "pyHanko validate, both" validate stamped-by-customer.pdf
yes "verify" answer stamped-by-customer.pdf "${ours[@]}" -- not-closed yes no
yes "verify, both named" answer stamped-by-customer.pdf "${ours[@]}" --trust c-root.crt -- not-closed yes yes
yes "pyHanko signs, with a plain frame" "$python" "$here/customer.py" shop.pdf both.pdf customer.key customer.crt c-root.crt
yes "qpdf" qpdf --check both.pdf
[ "$(pdfsig -nocert both.pdf | grep -c 'Signature is Valid')" -eq 2 ] && good=$((good + 1))
yes "pyHanko validate, both" validate both.pdf
yes "PDF/A-3a and PDF/UA-1" archival --two-signatures both.pdf
no "that one rule is only looked away from on purpose" archival both.pdf
yes "verify" answer both.pdf "${ours[@]}" -- not-closed yes no
says "verify names the customer" "Receiving desk" "$program" verify both.pdf "${ours[@]}"

yes "pyHanko signs, and describes the file anew" "$python" "$here/customer.py" shop.pdf described.pdf customer.key customer.crt c-root.crt --describe
yes "verify" answer described.pdf "${ours[@]}" -- not-closed yes no
yes "pyHanko signs with RSA-PSS" "$python" "$here/customer.py" shop.pdf pss.pdf customer.key customer.crt c-root.crt --pss
yes "pyHanko validate, both" validate pss.pdf
says "verify takes RSA-PSS" "RSA-PSS, 3072 bits, with SHA-256" "$program" verify pss.pdf "${ours[@]}"
yes "verify" answer pss.pdf "${ours[@]}" -- not-closed yes no
yes "pyHanko signs over SHA-1" "$python" "$here/customer.py" shop.pdf sha1.pdf customer.key customer.crt c-root.crt --sha1
says "verify refuses SHA-1 by name" "the digest SHA-1 is not accepted" "$program" verify sha1.pdf "${ours[@]}"
yes "verify" answer sha1.pdf "${ours[@]}" -- behind

echo "attacks"
"$python" "$here/attacks.py" shop.pdf both.pdf
for file in attack-*.pdf; do
  what=${file#attack-}
  what=${what%.pdf}
  yes "altered, verify: $what" answer "$file" "${ours[@]}" --trust c-root.crt -- altered
  no "$what, pyHanko" "$python" "$here/holds.py" "$file" root.crt c-root.crt
done
[ "$(ls attack-*.pdf | wc -l)" -ge 7 ]
yes "a wrong root, verify" answer shop.pdf --trust c-root.crt -- not-closed no
no "a wrong root, pyHanko" "$pyhanko" sign validate --executive-summary --trust c-root.crt --trust-replace --no-revocation-check shop.pdf
printf 'signatures: %s passed, 0 failed\n' "$good"
