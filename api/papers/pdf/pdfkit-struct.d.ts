/** What structure elements of pdfkit 0.20 take beyond its published types (0.17). */
declare namespace PDFKit.Mixins {
  interface StructureElementOptions {
    /** Of a TH. */
    scope?: 'Row' | 'Column' | 'Both';
    /** Points from the upper left corner of the page. */
    bbox?: [number, number, number, number];
    placement?: 'Block' | 'Inline';
  }
}
