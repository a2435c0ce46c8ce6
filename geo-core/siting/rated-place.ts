import type { Loop, Zone } from '#geo-core/model/plane-plan.ts';
import type { CableWay } from './cable-ways.ts';
import type { Pad } from './station-pad.ts';

export type StationRule =
  | 'straight-before'
  | 'straight-behind'
  | 'corner'
  | 'sprinkler'
  | 'zone'
  | 'passage'
  | 'hazard'
  | 'no-wire'
  | 'cable'
  | 'voltage'
  | 'slope'
  | 'clear-front';

/** A hard rule looked at for a place. `missing` is the shortfall as a share of the limit: 0 where the rule is kept, 1 where there is no figure. */
export type Check = {
  readonly rule: StationRule;
  readonly missing: number;
  readonly value?: number;
  readonly limit?: number;
  readonly unit?: 'm' | '%';
};

/** Something a place has or lacks in comfort: the figure, and what it costs in metres of cable. */
export type Comfort = {
  readonly of:
    | 'cable'
    | 'straight'
    | 'shelter'
    | 'road'
    | 'shade'
    | 'central'
    | 'bedroom'
    | 'neighbour'
    | 'hollow'
    | 'level';
  /** null: nothing of the kind within the distance that is looked at. */
  readonly value: number | null;
  readonly unit: 'm' | '%';
  readonly costM: number;
};

/** A place of a boundary loop, measured. */
export type RatedPlace = Pad & {
  readonly loop: Loop;
  readonly alongM: number;
  readonly zone: Zone | undefined;
  readonly slopePct: number | undefined;
  readonly cable: CableWay | undefined;
  /** What it lacks of the hard rules, as a sum of shares; 0 where it keeps them all. */
  readonly lack: number;
  /** What it lacks in comfort, in metres of cable: the least is the best. */
  readonly discomfortM: number;
};

/** A place with everything that was found out about it. */
export type KnownPlace = RatedPlace & { readonly checks: readonly Check[]; readonly comforts: readonly Comfort[] };

/** The rules that are broken. */
export function brokenOf(checks: readonly Check[]): Check[] {
  return checks.filter(({ missing }) => missing > 0);
}

/** Is told of every rule and every comfort of a place: numbers, no objects, since most places are only counted. */
export interface Visit {
  rule(rule: StationRule, missing: number, value?: number, limit?: number, unit?: 'm' | '%'): void;
  comfort(of: Comfort['of'], value: number | null, unit: 'm' | '%', costM: number): void;
}

/** Counts what a place lacks. */
export class Count implements Visit {
  lack = 0;
  discomfortM = 0;

  rule(_rule: StationRule, missing: number): void {
    this.lack += missing;
  }

  comfort(_of: Comfort['of'], _value: number | null, _unit: 'm' | '%', costM: number): void {
    this.discomfortM += costM;
  }
}

/** Writes down what is said of a place. */
export class Notes extends Count {
  readonly checks: Check[] = [];
  readonly comforts: Comfort[] = [];

  override rule(rule: StationRule, missing: number, value?: number, limit?: number, unit?: 'm' | '%'): void {
    super.rule(rule, missing);
    const hasFigure = value !== undefined && limit !== undefined && unit !== undefined;
    this.checks.push(hasFigure ? { rule, missing, value, limit, unit } : { rule, missing });
  }

  override comfort(of: Comfort['of'], value: number | null, unit: 'm' | '%', costM: number): void {
    super.comfort(of, value, unit, costM);
    this.comforts.push({ of, value, unit, costM });
  }
}

/** A rule kept from a figure on, metres. */
export function visitAtLeast(visit: Visit, rule: StationRule, value: number, limit: number): void {
  visit.rule(rule, value < limit ? (limit - value) / limit : 0, value, limit, 'm');
}

/** A rule kept up to a figure. */
export function visitAtMost(visit: Visit, rule: StationRule, value: number, limit: number, unit: 'm' | '%'): void {
  visit.rule(rule, value > limit ? (value - limit) / Math.max(1, limit) : 0, value, limit, unit);
}

/** The rules of a place as they are visited, written down. */
export function checksOf(place: RatedPlace, visit: (place: RatedPlace, visit: Visit) => void): Check[] {
  const notes = new Notes();
  visit(place, notes);
  return notes.checks;
}
