import { counted } from '#geo-core/model/counted.ts';
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
    `${counted(mends.closedRings, 'ring')} of the ${kind} not closed: a straight line from the last position to the first closes it.`,
    'Check that this closing line is where the edge runs.',
  );
  mend(
    mends.repeatedPositions,
    'repeated-positions',
    'note',
    `${counted(mends.repeatedPositions, 'position')} of the ${kind} dropped: the same as the one before.`,
    'Nothing to do.',
  );
  mend(
    mends.droppedRings,
    'ring-dropped',
    'caution',
    `${counted(mends.droppedRings, 'ring')} of the ${kind} dropped: fewer than three different positions.`,
    'Draw them again if they stand for something.',
  );
  mend(
    mends.droppedLines,
    'line-dropped',
    'caution',
    `${counted(mends.droppedLines, 'line')} of the ${kind} dropped: fewer than two different positions.`,
    'Draw them again if they stand for something.',
  );
  return findings;
}
