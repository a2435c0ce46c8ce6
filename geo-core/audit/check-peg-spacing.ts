import type { AuditCheck, Peg, Route } from '#geo-core/model/plane-plan.ts';
import { alongLine } from './along-line.ts';
import type { Evidence } from './evidence.ts';
import { type WorstCase, worstCase } from './worst-case.ts';

const SAME_PLACE_M = 1e-6;

/**
 * On every stretch of a loop no two neighbouring pegs are farther apart than the rule: trial pegs among themselves, then
 * all pegs. A peg on a lead holds both of its wires, so a lead's pegs count whichever way they were set.
 * Worst is the largest excess, metres.
 */
export function checkPegSpacing(evidence: Evidence): AuditCheck {
  const { settingOut, rules } = evidence;
  const worst = worstCase('peg-spacing', 'm', SAME_PLACE_M);
  const trial = settingOut.pegs.filter((peg) => peg.pass === 'trial');
  seeSpacing(evidence, settingOut.pegs, rules.pegSpacingM, worst);
  seeSpacing(evidence, trial, rules.pegTrialSpacingM, worst);
  return worst.check();
}

function seeSpacing({ route }: Evidence, pegs: readonly Peg[], spacingM: number, worst: WorstCase): void {
  const leads = new Map(route.leads.map((lead) => [lead.id, { lead, alongM: [0, lead.lengthM] }]));
  for (const each of route.routes) {
    for (const { span, own } of pegsBySpan(each, pegs)) {
      const [fromM, toM] = [each.chainageM[span.firstVertex], each.chainageM[span.lastVertex]];
      const at = { x: each.line[span.firstVertex * 2], y: each.line[span.firstVertex * 2 + 1] };
      const onLead = leads.get(span.id);
      if (onLead) {
        onLead.alongM.push(...own.map((peg) => alongLine(onLead.lead.line, peg.at.x, peg.at.y).alongM));
      } else worst.see(widestGapM([fromM, ...own.map((peg) => peg.chainageM), toM]) - spacingM, own[0]?.at ?? at);
    }
  }
  for (const { lead, alongM } of leads.values()) {
    worst.see(widestGapM(alongM) - spacingM, { x: lead.line[0], y: lead.line[1] });
  }
}

/** The pegs of each span of a route, its ends included, by chainage. */
function pegsBySpan(route: Route, pegs: readonly Peg[]): { span: Route['spans'][number]; own: Peg[] }[] {
  const sorted = pegs.filter((peg) => peg.signalUnit === route.signalUnit).sort((a, b) => a.chainageM - b.chainageM);
  let first = 0;
  return route.spans.map((span) => {
    const [fromM, toM] = [route.chainageM[span.firstVertex], route.chainageM[span.lastVertex]];
    while (first < sorted.length && sorted[first].chainageM < fromM - SAME_PLACE_M) first++;
    const own: Peg[] = [];
    for (let k = first; k < sorted.length && sorted[k].chainageM <= toM + SAME_PLACE_M; k++) own.push(sorted[k]);
    return { span, own };
  });
}

function widestGapM(placesM: readonly number[]): number {
  const sorted = placesM.toSorted((a, b) => a - b);
  return sorted.reduce((widest, place, i) => (i === 0 ? widest : Math.max(widest, place - sorted[i - 1])), 0);
}
