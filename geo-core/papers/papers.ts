import { crewSheets } from './crew-sheets.ts';
import type { Handover } from './handover.ts';
import type { Paper } from './paper.ts';
import { proposal } from './proposal.ts';

/** A document that people get: `make` is pure, whoever asks writes it as a page or as PDF. */
export type PaperKind = {
  readonly id: string;
  /** Of a file, without its ending. */
  readonly fileName: string;
  readonly title: string;
  readonly make: (handover: Handover) => Paper;
};

/** Every paper. A new one is a file and a line here. */
export const PAPERS: readonly PaperKind[] = [
  { id: 'proposal', fileName: 'proposal', title: 'proposal for the customer', make: proposal },
  { id: 'crew', fileName: 'crew-sheets', title: 'crew sheets', make: crewSheets },
];
