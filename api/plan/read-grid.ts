import { readCoverageJson, readElevation, TerrainError } from '#geo-core/index.ts';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { type PlanJob, type RefusedAnswer, refusal } from './plan-job.ts';

/** The elevation of a job: its file, else the member `elevation` of the site; undefined where there is neither. */
export async function readGrid(job: PlanJob, inline: unknown): Promise<ElevationGrid | RefusedAnswer | undefined> {
  const { elevation, limits } = job;
  try {
    if (elevation !== undefined) {
      const { bytes, fileName, epsg } = elevation;
      return await readElevation(bytes, { fileName, epsg, maxCells: limits.cellsMax });
    }
    return inline === undefined ? undefined : readCoverageJson(inline, 'inline', limits.cellsMax);
  } catch (error) {
    if (!(error instanceof TerrainError)) throw error;
    const message = `${error.message} ${error.advice}`;
    const problems = elevation === undefined ? [{ pointer: '/elevation', message }] : [];
    if (error.code !== 'too-many-cells') return refusal('invalid-elevation', message, problems);
    return refusal('too-large', `${message} (LOOPWRIGHT_CELLS_MAX)`, problems);
  }
}
