import type { LaidLoops, ZonedArea } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { type CellGrid, rasterise } from '#geo-core/plane/rasterise.ts';
import { type MowingGround, mowingGround, type WirePlace } from './mowing-ground.ts';
import { seededDirections } from './seeded-directions.ts';
import { sweepCells } from './sweep-cells.ts';
import type { Ahead } from './wire-ahead.ts';

export type SimulateMowingInput = {
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly station: PlanePoint;
  readonly gridM: number;
};

export type SimulationOptions = {
  readonly seed: number;
  /** By the clock, charging included, hours. */
  readonly hours: number;
  /** A lap along the wire every so many hours by the clock; none where it is 0. */
  readonly edgeLapEveryH: number;
  readonly cellsMax?: number;
};

/** One moment: hours by the clock and on the grass, width x driven length / area, shares of the mown ground cut at least once. */
type CoverMoment = {
  readonly clockH: number;
  readonly mowingH: number;
  readonly passes: number;
  readonly share: number;
};

export type MowingSimulation = {
  readonly seed: number;
  readonly clockH: number;
  readonly mowingH: number;
  readonly chargingH: number;
  /** On the way along the wire, blades off, from and to the station. */
  readonly travelH: number;
  readonly edgeLapH: number;
  readonly chargingTrips: number;
  readonly runs: number;
  readonly meanRunM: number;
  /** About a hundred moments, evenly apart on the grass. */
  readonly cover: readonly CoverMoment[];
  readonly zones: readonly { readonly zone: string; readonly mowingH: number; readonly share: number }[];
  readonly passages: readonly { readonly passage: string; readonly trips: number }[];
  /** How often the blades went over each cell; cells that `wanted` leaves at 0 are not mown ground. */
  readonly visits: CellGrid & { readonly counts: Uint16Array; readonly wanted: Uint8Array };
};

/** Four cells across the cut where there are not too many of them: a cell counts by its centre. */
const CELLS_ACROSS_CUT = 4;
const CELLS_MAX = 1_000_000;
/** Bounds of a run of the simulation: straight runs, and hours by the clock. */
const RUNS_MAX = 400_000;
const HOURS_MAX = 2000;
const MOMENTS = 100;
/** Time to stop and turn, seconds. Common practice, no source. */
const TURN_S = 2;
/** A run stops this short of the wire, so that it stays on its side. */
const SHORT_M = 0.001;
const TRIES = 40;

/**
 * A machine that drives straight to the wire, turns by a random angle and drives on, on the ground as it is: keep-outs, passages (it finds
 * through them by chance, and by the wire when a trip begins beyond), charging trips along the wire, laps along the edge. The same
 * seed gives the same bits everywhere. Each trip begins in the zone that is most behind its share of the time. Undefined where the
 * station's ground has no zone.
 *
 * Every direction into the ground is as likely as every other; the ground covered then follows 1 - exp(-passes) (B. O. Koopman's law of
 * random search) but for one to three points that edges and corners miss.
 */
export function simulateMowing(
  input: SimulateMowingInput,
  rules: Rules,
  options: SimulationOptions,
): MowingSimulation | undefined {
  const ground = mowingGround(input, rules);
  if (ground === undefined) return undefined;
  const drive = new Drive(ground, rules, options);
  drive.mow();
  return drive.told();
}

/** The state of one simulated machine. */
class Drive {
  private readonly grid: CellGrid;
  private readonly wanted: Uint8Array;
  private readonly counts: Uint16Array;
  private readonly wantedCells: number;
  private readonly areaM2: number;
  private readonly direction: () => readonly [number, number];
  private readonly ahead: Ahead = { distanceM: 0, segment: -1 };
  private readonly zoneS: Float64Array;
  private readonly passageTrips: Int32Array;
  private readonly cover: CoverMoment[] = [];
  private covered = 0;
  private x = 0;
  private y = 0;
  private zone = 0;
  private runs = 0;
  private drivenM = 0;
  private trips = 0;
  private mowingS = 0;
  private chargingS = 0;
  private travelS = 0;
  private lapS = 0;

  private readonly ground: MowingGround;
  private readonly rules: Rules;
  private readonly options: SimulationOptions;

  constructor(ground: MowingGround, rules: Rules, options: SimulationOptions) {
    this.ground = ground;
    this.rules = rules;
    this.options = options;
    this.grid = gridOver(ground.cut, rules.cuttingWidthM, options.cellsMax ?? CELLS_MAX);
    this.wanted = rasterise(ground.cut, this.grid);
    this.counts = new Uint16Array(this.wanted.length);
    this.wantedCells = this.wanted.reduce((sum, one) => sum + one, 0);
    this.areaM2 = totalAreaM2(ground.cut);
    this.direction = seededDirections(options.seed);
    this.zoneS = new Float64Array(ground.zones.length);
    this.passageTrips = new Int32Array(ground.passages.length);
  }

  private get clockS(): number {
    return this.mowingS + this.chargingS + this.travelS + this.lapS;
  }

  mow(): void {
    const { hours, edgeLapEveryH } = this.options;
    const endS = 3600 * Math.min(HOURS_MAX, hours);
    let nextLapS = 0;
    while (this.clockS < endS && this.runs < RUNS_MAX) {
      const startS = this.clockS - this.chargingS;
      if (edgeLapEveryH > 0 && this.clockS >= nextLapS) {
        this.lapAlongWire();
        nextLapS += 3600 * edgeLapEveryH;
      } else {
        this.setOut();
        this.runUntil(startS + 60 * this.rules.runMin, endS);
        this.goHome();
      }
      this.trips++;
      const usedS = this.clockS - this.chargingS - startS;
      this.chargingS += (usedS * this.rules.chargeMin) / this.rules.runMin;
    }
  }

  /** Along the wire to the zone that is most behind its share. */
  private setOut(): void {
    const { zones, home } = this.ground;
    const wholeS = this.zoneS.reduce((sum, own) => sum + own, 0);
    const wholeM2 = zones.reduce((sum, { areaM2 }) => sum + areaM2, 0);
    let target = home;
    let most = -Infinity;
    zones.forEach(({ areaM2 }, i) => {
      const behind = (areaM2 / wholeM2) * wholeS - this.zoneS[i];
      if (behind > most) [target, most] = [i, behind];
    });
    const place = zones[target].start;
    this.standAt(place);
    this.countPassages(home, target);
    this.zone = target;
    this.travelS += place.homeM / this.rules.speedMps;
  }

  private standAt({ x, y, segment }: WirePlace): void {
    this.x = x;
    this.y = y;
    this.ahead.segment = segment;
  }

  private runUntil(batteryS: number, endS: number): void {
    while (this.clockS - this.chargingS < batteryS && this.clockS < endS && this.runs < RUNS_MAX) this.runOnce(true);
  }

  /** One straight run to the wire and the turn there. */
  private runOnce(isCutting: boolean): void {
    const { ground, ahead, rules } = this;
    const [inX, inY] = ahead.segment >= 0 ? ground.wire.inward(ahead.segment) : [0, 0];
    let [ux, uy] = this.direction();
    for (let tries = 0; tries < TRIES; tries++) {
      if (ux * inX + uy * inY >= 0) {
        ground.wire.look(this.x, this.y, ux, uy, ahead);
        if (ahead.segment >= 0 && ahead.distanceM > 2 * SHORT_M) break;
      }
      [ux, uy] = this.direction();
    }
    const lengthM = ahead.segment >= 0 ? Math.max(0, ahead.distanceM - SHORT_M) : 0;
    const [toX, toY] = [this.x + ux * lengthM, this.y + uy * lengthM];
    if (isCutting) {
      this.covered += sweepCells(this.grid, this.counts, this.wanted, rules.cuttingWidthM / 2, [
        this.x,
        this.y,
        toX,
        toY,
      ]);
      const seconds = lengthM / rules.speedMps + TURN_S;
      this.mowingS += seconds;
      this.zoneS[this.zone] += seconds;
      this.runs++;
      this.drivenM += lengthM;
      this.note();
    } else this.travelS += lengthM / rules.speedMps + TURN_S;
    this.x = toX;
    this.y = toY;
    this.enterZone();
  }

  private enterZone(): void {
    const { zones } = this.ground;
    const holds = (zone: number): boolean =>
      zones[zone].polygons.some((polygon) => pointInPolygon(polygon, this.x, this.y));
    if (zones.length === 1 || holds(this.zone)) return;
    const next = zones.findIndex((_, zone) => holds(zone));
    if (next === -1) return;
    this.countPassages(this.zone, next);
    this.zone = next;
  }

  private countPassages(from: number, to: number): void {
    for (const passage of this.ground.passagesBetween(from, to)) this.passageTrips[passage]++;
  }

  /** To the boundary wire, then along it the shorter way. */
  private goHome(): void {
    const { homeM } = this.ground;
    let tries = 0;
    while (homeM[this.ahead.segment] === undefined && tries++ < TRIES) this.runOnce(false);
    this.travelS += (homeM[this.ahead.segment] ?? 0) / this.rules.speedMps;
    this.countPassages(this.zone, this.ground.home);
    this.zone = this.ground.home;
  }

  /** Once round the edge with the blades on. */
  private lapAlongWire(): void {
    const radiusM = this.rules.cuttingWidthM / 2;
    for (const ring of this.ground.laps) {
      for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
        const side = [ring[j], ring[j + 1], ring[i], ring[i + 1]] as const;
        this.covered += sweepCells(this.grid, this.counts, this.wanted, radiusM, side);
        this.lapS += Math.sqrt((side[2] - side[0]) ** 2 + (side[3] - side[1]) ** 2) / this.rules.speedMps;
      }
    }
  }

  private note(): void {
    const wholeS = 3600 * Math.min(HOURS_MAX, this.options.hours);
    if (this.clockS < (wholeS * (this.cover.length + 1)) / MOMENTS) return;
    this.cover.push(this.moment());
  }

  private moment(): CoverMoment {
    return {
      clockH: this.clockS / 3600,
      mowingH: this.mowingS / 3600,
      passes: (this.rules.cuttingWidthM * this.drivenM) / this.areaM2,
      share: this.wantedCells === 0 ? 0 : this.covered / this.wantedCells,
    };
  }

  told(): MowingSimulation {
    const { ground, options, wanted, counts, grid } = this;
    return {
      seed: options.seed,
      clockH: this.clockS / 3600,
      mowingH: this.mowingS / 3600,
      chargingH: this.chargingS / 3600,
      travelH: this.travelS / 3600,
      edgeLapH: this.lapS / 3600,
      chargingTrips: this.trips,
      runs: this.runs,
      meanRunM: this.runs === 0 ? 0 : this.drivenM / this.runs,
      cover: [...this.cover, this.moment()],
      zones: ground.zones.map(({ id, polygons }, i) => ({
        zone: id,
        mowingH: this.zoneS[i] / 3600,
        share: shareOf(polygons, grid, wanted, counts),
      })),
      passages: ground.passages.map(({ id }, i) => ({ passage: id, trips: this.passageTrips[i] })),
      visits: { ...grid, counts, wanted },
    };
  }
}

function shareOf(polygons: readonly Polygon[], grid: CellGrid, wanted: Uint8Array, counts: Uint16Array): number {
  let [all, cut] = [0, 0];
  rasterise(polygons, grid).forEach((is, cell) => {
    if (is === 0 || wanted[cell] === 0) return;
    all++;
    if (counts[cell] > 0) cut++;
  });
  return all === 0 ? 0 : cut / all;
}

function gridOver(ground: readonly Polygon[], widthOfCutM: number, cellsMax: number): CellGrid {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { outer } of ground) {
    for (let i = 0; i < outer.length; i += 2) {
      [minX, maxX] = [Math.min(minX, outer[i]), Math.max(maxX, outer[i])];
      [minY, maxY] = [Math.min(minY, outer[i + 1]), Math.max(maxY, outer[i + 1])];
    }
  }
  const [widthM, heightM] = [maxX - minX, maxY - minY];
  const cellM = Math.max(
    widthOfCutM / CELLS_ACROSS_CUT,
    Math.sqrt((widthM * heightM) / cellsMax),
    (widthM + heightM) / cellsMax,
  );
  return { westM: minX, southM: minY, cellM, columns: Math.ceil(widthM / cellM), rows: Math.ceil(heightM / cellM) };
}
