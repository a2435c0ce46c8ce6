import type { Finding } from '#geo-core/model/finding.ts';
import type { FeatureAttributes } from '#geo-core/model/site.ts';
import type { Mends } from './read-shapes.ts';

/** One finding for each way in which the geometry of a feature was mended. Turned rings are told once for the whole site. */
export function mendFindings({ kind, pointer: subject }: FeatureAttributes, mends: Mends): Finding[] {
  const findings: Finding[] = [];
  const mend = (count: number, reason: string, severity: Finding['severity'], message: string, advice: string) => {
    if (count > 0) {
      findings.push({ code: `read-site.${reason}`, severity, message, advice, value: count, unit: '1', subject });
    }
  };
  mend(
    mends.closedRings,
    'ring-closed',
    'caution',
    `${mends.closedRings} rings of the ${kind} were not closed; a straight line from their last position to the first closes them.`,
    'Check that this closing line is where the edge runs.',
  );
  mend(
    mends.repeatedPositions,
    'repeated-positions',
    'note',
    `${mends.repeatedPositions} positions of the ${kind} repeated the one before and were dropped.`,
    'Nothing to do.',
  );
  mend(
    mends.droppedRings,
    'ring-dropped',
    'caution',
    `${mends.droppedRings} rings of the ${kind} have fewer than three different positions and were dropped.`,
    'Draw them again if they stand for something.',
  );
  mend(
    mends.droppedLines,
    'line-dropped',
    'caution',
    `${mends.droppedLines} lines of the ${kind} have fewer than two different positions and were dropped.`,
    'Draw them again if they stand for something.',
  );
  return findings;
}
