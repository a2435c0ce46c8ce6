import type { AuditCheck, Lead } from '#geo-core/model/plane-plan.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { alongLine } from './along-line.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

type Walk = { readonly fromM: number; readonly toM: number };

/**
 * The routes walk every lead exactly once out and once back on the same line, so that the two fields cancel; a lead on
 * which others hang may be walked in pieces. Worst is the largest gap between the two walks, metres.
 */
export function checkLeadsOpposite(evidence: Evidence): AuditCheck {
  const worst = worstCase('leads-opposite', 'm', 1e-6);
  const walks = walksOfLeads(evidence, (offM, at) => worst.see(offM, at));
  for (const lead of evidence.route.leads) {
    const at = { x: lead.line[0], y: lead.line[1] };
    const lengthM = lineLengthM(lead.line);
    const walked = walks.get(lead.id) ?? [];
    worst.see(
      uncoveredM(
        walked.filter((walk) => walk.toM > walk.fromM),
        lengthM,
      ),
      at,
    );
    worst.see(uncoveredM(walked.filter((walk) => walk.toM < walk.fromM).map(reversed), lengthM), at);
  }
  return worst.check();
}

/** What each lead's spans cover of it, as metres along the lead; `off` hears how far each vertex is from the lead's line. */
function walksOfLeads(
  { route }: Evidence,
  off: (offM: number, at: { x: number; y: number }) => void,
): ReadonlyMap<string, Walk[]> {
  const leads = new Map<string, Lead>(route.leads.map((lead) => [lead.id, lead]));
  const walks = new Map<string, Walk[]>();
  for (const { line, spans } of route.routes) {
    for (const span of spans) {
      if (span.of !== 'lead') continue;
      const lead = leads.get(span.id);
      const own = walks.get(span.id) ?? [];
      walks.set(span.id, own);
      let before: number | undefined;
      for (let vertex = span.firstVertex; vertex <= span.lastVertex; vertex++) {
        const at = { x: line[vertex * 2], y: line[vertex * 2 + 1] };
        const place = alongLine(lead?.line ?? new Float64Array(), at.x, at.y);
        off(place.offM, at);
        if (before !== undefined) own.push({ fromM: before, toM: place.alongM });
        before = place.alongM;
      }
    }
  }
  return walks;
}

function reversed({ fromM, toM }: Walk): Walk {
  return { fromM: toM, toM: fromM };
}

/** Longest gap or overlap of walks that should cover 0 to `lengthM` once. */
function uncoveredM(walks: readonly Walk[], lengthM: number): number {
  let reachedM = 0;
  let worstM = 0;
  for (const { fromM, toM } of walks.toSorted((a, b) => a.fromM - b.fromM)) {
    worstM = Math.max(worstM, Math.abs(fromM - reachedM));
    reachedM = toM;
  }
  return Math.max(worstM, Math.abs(lengthM - reachedM));
}
