import { FORMATS, PAPERS } from '#geo-core/index.ts';
import type { Drawing } from './drawing.ts';
import type { WordKey, Words } from './wording/words.ts';

const PAPER_TITLES: Readonly<Record<string, WordKey>> = { proposal: 'proposal.title', crew: 'crew.title' };

/** Everything a plan can be handed over as, in words; a format that has none keeps its own. */
export function handOverTitles({ say, knows }: Words): Drawing['formats'] {
  const papers = PAPERS.map(({ id, title }) => ({ id, paper: id in PAPER_TITLES ? say(PAPER_TITLES[id]) : title }));
  return [
    ...FORMATS.map(({ id, title }) => {
      const key = `format.${id}`;
      return { id, title: knows(key) ? say(key) : title };
    }),
    ...papers.map(({ id, paper }) => ({ id: `${id}-html`, title: say('format.page', { paper }) })),
    ...papers.map(({ id, paper }) => ({ id: `${id}-pdf`, title: say('format.pdf', { paper }) })),
  ];
}
