/** Addresses of the papers of a site, and what their formats are called. */
export const SITE_PAPERS = [
  { path: 'proposal', paper: 'proposal', summary: 'The proposal for the customer' },
  { path: 'crew-sheets', paper: 'crew', summary: 'What the crew works by' },
] as const;
