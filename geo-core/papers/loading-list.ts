import type { Plan } from '#geo-core/model/plan.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import { itemName, unitName } from './item-words.ts';
import type { Block } from './paper.ts';

const TOOLS = ['hammer', 'tape', 'spade', 'meter', 'level', 'safety'] as const;

/** What goes into the van: material of the take-off, each with a box to tick, and the tools. */
export function loadingList({ takeoff }: Plan, wording: Wording): Block[] {
  const { say, fixed, length } = wording;
  const material = takeoff.lines.filter(({ group, code }) => group === 'material' && code !== 'spool');
  const spools = new Map<number, number>();
  for (const { lengthM } of takeoff.spools) spools.set(lengthM, (spools.get(lengthM) ?? 0) + 1);
  return [
    { kind: 'heading', text: say('crew.loading') },
    { kind: 'paragraph', text: say('crew.loadingIntro'), tone: 'soft' },
    {
      kind: 'list',
      mark: 'box',
      items: [
        ...[...spools].map(([lengthM, n]) => ({ text: say('crew.spools', { n, length: length(lengthM, 0) }) })),
        ...material.map(({ code, what, quantity, unit }) => ({
          text: `${fixed(quantity, unit === 'piece' ? 0 : 1)}\u00a0${unitName(unit, wording)}  ${itemName(code, what, wording)}`,
        })),
      ],
    },
    { kind: 'heading', text: say('crew.tools') },
    { kind: 'list', mark: 'box', items: TOOLS.map((tool) => ({ text: say(`crew.tool.${tool}`) })) },
  ];
}
