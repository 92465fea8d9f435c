"""Fills a fill-in copy with programs from outside and writes what each saved:
copies.py COPY FOLDER. Every file is then read back with `tackwright returned`; the
values have to be those in FOLDER/values.json. Run by hand; needs pypdf, pymupdf,
pikepdf and pypdfium2; for poppler the system's Python with gi and Poppler 0.18, for
pdf.js and pdf-lib node with pdfjs-dist and pdf-lib in the folder NODE_MODULES
(environment), and qpdf. With a third
argument, the program, every file is read back and a table of what came is printed."""

import json,logging,sys,re,io,shutil
logging.disable(logging.WARNING)
src, folder = sys.argv[1], sys.argv[2]
import pikepdf
p=pikepdf.open(src); fs=[f for f in p.Root.AcroForm.Fields]
tx=[str(f.T) for f in fs if str(f.FT)=='/Tx' and '/Rect' in f][:4]; bt={}
# One word of each question: two are a contradiction, and told as one.
for f in fs:
    if str(f.FT)=='/Btn': bt.setdefault(str(f.T).partition('=')[0], str(f.T))
bt=list(bt.values())[:3]
V={t:v for t,v in zip(tx,["Łucja Ångström – “Lu”","5-13/16 in ≥ 5¾","2.5 deg","x"])}; V.update({b:True for b in bt})
json.dump(V,open(folder + '/values.json','w'))
def run(n,f):
    try: f('%s/%s.pdf' % (folder, n))
    except Exception as e: print(n,'FAILED',type(e).__name__,str(e)[:150])
def pypdf_full(out,incr=False):
    from pypdf import PdfReader,PdfWriter
    w=PdfWriter(src,incremental=True) if incr else PdfWriter(clone_from=src)
    for pg in w.pages:
        if '/Annots' in pg: w.update_page_form_field_values(pg,{k:('/Done' if v is True else v) for k,v in V.items()},auto_regenerate=False)
    w.write(out)
run('pypdf',pypdf_full); run('pypdf-incr',lambda o:pypdf_full(o,True))
def mupdf(out,incr):
    import pymupdf
    if incr: shutil.copy(src,out); d=pymupdf.open(out)
    else: d=pymupdf.open(src)
    for pg in d:
        for w in pg.widgets():
            if w.field_name in V:
                w.field_value = V[w.field_name]; w.update()
    if incr: d.saveIncr()
    else: d.save(out,garbage=3,deflate=True)
run('mupdf',lambda o:mupdf(o,False)); run('mupdf-incr',lambda o:mupdf(o,True))
def pike(out):
    from pikepdf.form import Form,DefaultAppearanceStreamGenerator as G
    p=pikepdf.open(src); f=Form(p,G)
    for k,v in V.items():
        if v is True: f[k].checked=True
        else: f[k].value=v
    p.save(out)
run('pikepdf',pike)
def pdfium(out):
    import pypdfium2 as P, pypdfium2.raw as r, ctypes
    d=P.PdfDocument(src); d.init_forms(); fe=d.formenv.raw
    for i in range(len(d)):
        pg=d[i]
        for j in range(r.FPDFPage_GetAnnotCount(pg.raw)):
            a=r.FPDFPage_GetAnnot(pg.raw,j)
            if r.FPDFAnnot_GetSubtype(a)!=r.FPDF_ANNOT_WIDGET: continue
            n=r.FPDFAnnot_GetFormFieldName(fe,a,None,0); b=ctypes.create_string_buffer(n); r.FPDFAnnot_GetFormFieldName(fe,a,ctypes.cast(b,ctypes.POINTER(r.FPDF_WCHAR)),n)
            name=b.raw.decode('utf-16le').rstrip('\0')
            if name not in V: continue
            rc=r.FS_RECTF(); r.FPDFAnnot_GetRect(a,rc); x=(rc.left+rc.right)/2; y=(rc.top+rc.bottom)/2
            r.FORM_OnMouseMove(fe,pg.raw,0,x,y); r.FORM_OnLButtonDown(fe,pg.raw,0,x,y); r.FORM_OnLButtonUp(fe,pg.raw,0,x,y)
            if V[name] is not True:
                for c in V[name].encode('utf-16le').hex(' ',2).split():
                    r.FORM_OnChar(fe,pg.raw,int(c[2:4]+c[0:2],16),0)
            r.FORM_ForceToKillFocus(fe)
    for nm,fl in (('full',0),('incr',1)): d.save(out.replace('.pdf','-'+nm+'.pdf'),flags=fl)
run('pdfium',pdfium)
POPPLER = """
import sys, json, gi
gi.require_version('Poppler', '0.18')
from gi.repository import Poppler
src, out, values = sys.argv[1:]
V = json.load(open(values)); d = Poppler.Document.new_from_file('file://' + src, None)
for i in range(d.get_n_pages()):
    for m in d.get_page(i).get_form_field_mapping():
        name = m.field.get_name()
        if name in V:
            if V[name] is True: m.field.button_set_state(True)
            else: m.field.text_set_text(V[name])
d.save('file://' + out)
"""
def poppler(out):
    import subprocess, os
    subprocess.run(['/usr/bin/python3', '-c', POPPLER, os.path.abspath(src), os.path.abspath(out),
                    os.path.abspath(folder + '/values.json')], check=True)
run('poppler',poppler)
PDFJS = """
import { readFileSync, writeFileSync } from 'fs';
const [lib, src, out, values] = process.argv.slice(1).slice(-4);
const pdfjs = await import(lib + '/pdfjs-dist/legacy/build/pdf.mjs');
const V = JSON.parse(readFileSync(values));
const doc = await pdfjs.getDocument({ data: new Uint8Array(readFileSync(src)), verbosity: 0 }).promise;
for (let i = 1; i <= doc.numPages; i++)
  for (const a of await (await doc.getPage(i)).getAnnotations())
    if (a.fieldName in V) doc.annotationStorage.setValue(a.id, { value: V[a.fieldName] });
writeFileSync(out, await doc.saveDocument());
process.exit(0);
"""
def pdfjs(out):
    import subprocess, os
    full = os.path.abspath
    subprocess.run(['node', '--input-type=module', '-e', PDFJS, '--', full(os.environ['NODE_MODULES']), full(src),
                    full(out), full(folder + '/values.json')], check=True)
run('pdfjs',pdfjs)
PDFLIB = """
import { readFileSync, writeFileSync } from 'fs';
import { createRequire } from 'module';
const [lib, src, out, values] = process.argv.slice(1).slice(-4);
const { PDFDocument, PDFName, PDFHexString } = createRequire(lib + '/')('pdf-lib');
const V = JSON.parse(readFileSync(values));
const doc = await PDFDocument.load(readFileSync(src), { updateMetadata: false });
for (const [name, value] of Object.entries(V)) {
  const field = doc.getForm().getField(name);
  if (value === true) field.check();
  // Its own font has Latin letters only: the value is set, its picture left.
  else field.acroField.dict.set(PDFName.of('V'), PDFHexString.fromText(value));
}
writeFileSync(out, await doc.save({ updateFieldAppearances: false }));
process.exit(0);
"""
def pdflib(out):
    import subprocess, os
    full = os.path.abspath
    subprocess.run(['node', '--input-type=module', '-e', PDFLIB, '--', full(os.environ['NODE_MODULES']), full(src),
                    full(out), full(folder + '/values.json')], check=True)
run('pdf-lib',pdflib)
def qpdf(out):
    # Written anew by a program that fills nothing: what was saved before survives it.
    import subprocess
    subprocess.run(['qpdf', '--object-streams=generate', folder + '/pikepdf.pdf', out], check=True)
run('qpdf-after-pikepdf',qpdf)
if len(sys.argv) > 3:
    import subprocess, glob, os
    number = re.match(r'(.*)-[A-Z]+-copy-\d+\.pdf$', os.path.basename(src))
    number = number.group(1) if number else sys.argv[4]
    unescape = lambda t: t.replace('%2E', '.').replace('%25', '%')
    want = {}
    for k, v in V.items():
        name, _, word = unescape(k).partition('=')
        want[name] = word if v is True and word else v
    for f in sorted(glob.glob(folder + '/*.pdf')):
        said = subprocess.run([sys.argv[3], 'returned', number, f, '--json'], capture_output=True, text=True)
        try: got = {p['name']: p['value'] for p in json.loads(said.stdout)['proposals']}
        except Exception: print(os.path.basename(f), 'REFUSED', said.stderr.strip().replace('\n', ' ')[:300]); continue
        plain = {k: (v['text'] if isinstance(v, dict) and 'text' in v else True if v == 'ticked' else v) for k, v in got.items()}
        # Initials stand for every operation of their role at the station.
        roles = {k.rpartition(':')[2]: v for k, v in want.items() if ':@' in k}
        want.update({k: roles[k.rpartition(':')[2]] for k in plain if ':@' in k and k.rpartition(':')[2] in roles})
        wrong = {k: (want.get(k), plain.get(k)) for k in set(want) | set(plain) if want.get(k) != plain.get(k)}
        print(os.path.basename(f), 'all %d right' % len(want) if not wrong else 'WRONG %s' % wrong)
