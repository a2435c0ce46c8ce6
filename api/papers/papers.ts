import { type Handover, PAPERS, type Paper, writeHtml } from '#geo-core/index.ts';
import { pageFaces } from './page-faces.ts';
import { writePdf } from './pdf/write-pdf.ts';

/** A way to hand over a plan as a paper: it needs the site, the firm and the day besides, and a PDF takes its time. */
export type PaperFormat = {
  /** Used in addresses and on the command line. */
  readonly id: string;
  readonly mediaType: string;
  readonly fileName: string;
  readonly title: string;
  readonly write: (handover: Handover) => Promise<Uint8Array<ArrayBuffer>>;
};

const FORMS = [
  { id: 'pdf', mediaType: 'application/pdf', title: 'PDF', write: writePdf },
  { id: 'html', mediaType: 'text/html; charset=utf-8', title: 'Page', write: writePage },
] as const;

/** Every paper in every form: `proposal-pdf`, `proposal-html`, `crew-pdf`, `crew-html`. */
export const PAPER_FORMATS: readonly PaperFormat[] = PAPERS.flatMap((paper) =>
  FORMS.map((form) => ({
    id: `${paper.id}-${form.id}`,
    mediaType: form.mediaType,
    fileName: `${paper.fileName}.${form.id}`,
    title: `${form.title}: ${paper.title}`,
    write: (handover: Handover) => form.write(paper.make(handover)),
  })),
);

function writePage(paper: Paper): Promise<Uint8Array<ArrayBuffer>> {
  return Promise.resolve(new TextEncoder().encode(writeHtml(paper, pageFaces())));
}
