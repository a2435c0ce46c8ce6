import type { Plan } from '#geo-core/model/plan.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import { itemName, unitName } from './item-words.ts';
import type { Block } from './paper.ts';

const TOOLS = ['hammer', 'tape', 'spade', 'meter', 'level', 'safety'] as const;

/** What goes into the van: material of the take-off, each with a box to tick, and the tools. */
export function loadingList({ takeoff, rules }: Plan, wording: Wording): Block[] {
  const { say, fixed, length } = wording;
  const material = takeoff.lines.filter(({ group }) => group === 'material');
  return [
    { kind: 'heading', text: say('crew.loading') },
    { kind: 'paragraph', text: say('crew.loadingIntro', { length: length(rules.spoolM, 0) }), tone: 'soft' },
    {
      kind: 'list',
      mark: 'box',
      items: material.map(({ code, what, quantity, unit }) => ({
        text: `${fixed(quantity, unit === 'piece' ? 0 : 1)}\u00a0${unitName(unit, wording)}  ${itemName(code, what, wording)}`,
      })),
    },
    { kind: 'heading', text: say('crew.tools') },
    { kind: 'list', mark: 'box', items: TOOLS.map((tool) => ({ text: say(`crew.tool.${tool}`) })) },
  ];
}
