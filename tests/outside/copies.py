"""Fills a fill-in copy with programs from outside and writes what each saved:
copies.py COPY FOLDER. Every file is then read back with `tackwright returned`; the
values have to be those in FOLDER/values.json. Run by hand; needs pypdf, pymupdf,
pikepdf and pypdfium2."""

import json,sys,re,io,shutil
src, folder = sys.argv[1], sys.argv[2]
import pikepdf
p=pikepdf.open(src); fs=[f for f in p.Root.AcroForm.Fields]
tx=[str(f.T) for f in fs if str(f.FT)=='/Tx' and '/Rect' in f][:4]; bt=[str(f.T) for f in fs if str(f.FT)=='/Btn'][:3]
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
