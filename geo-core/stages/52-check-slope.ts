import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  FeltPassage,
  JoinedRoute,
  LaidLoops,
  Route,
  SlopeCheck,
  SlopeSurvey,
  SteepWire,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { lineLengthM, ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { type FeltPiece, feltAlong, groundLengthM, spansOnGroundM } from '#geo-core/terrain/felt-along.ts';

export type CheckSlopeInput = {
  readonly slope: SlopeSurvey | undefined;
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly route: JoinedRoute;
};

/** A length on the ground is told where no more than this share of the line is unknown, as the rest cannot hide much. */
const UNKNOWN_SHARE = 0.1;

/**
 * Finished route, passages and the survey -> what the ground does to them: wire on ground over the limit for it, and whether
 * the ground falls outward there (a machine that comes to the wire downhill slides over it); slope along and across every
 * passage; the length of wire on the ground; what it costs to keep off steep ground. Undefined where no slope is known.
 */
export function checkSlope(input: CheckSlopeInput, rules: Rules): Staged<SlopeCheck | undefined> {
  const { slope, zones, route } = input;
  if (slope === undefined || route.routes.length === 0) return { output: undefined, findings: [] };
  const felt = route.routes.map((each) => ({ route: each, pieces: feltAlong(each.line, slope) }));
  const steepWire = felt.flatMap(({ route: each, pieces }) => steepStretches(each, pieces, rules));
  const passages = zones.passages.map(({ id, centreLine }): FeltPassage => {
    const pieces = feltAlong(centreLine, slope);
    return { id, alongPct: most(pieces, 'along'), acrossPct: most(pieces, 'toRight') };
  });
  const onGroundM = felt.map(({ pieces }) => groundLengthM(pieces, UNKNOWN_SHARE));
  const output: SlopeCheck = {
    steepWire,
    passages,
    groundLengthM: onGroundM,
    spansOnGroundM: felt.map(({ route: each, pieces }, i) =>
      onGroundM[i] === undefined ? undefined : spansOnGroundM(pieces, each.spans),
    ),
  };
  const findings = [
    ...wireFindings(steepWire, slope, rules),
    ...passages.flatMap((passage) => passageFindings(passage, zones, rules)),
    ...longerOnGround(output, route, rules),
    ...costOfSteep(input, slope, rules),
  ];
  return { output, findings };
}

/** Stretches of the loops (leads are driven over, not along) on ground over the limit, parted where the fall turns outward. */
function steepStretches({ spans }: Route, pieces: readonly FeltPiece[], rules: Rules): SteepWire[] {
  const limit = rules.slopeAtWireMaxPct;
  const stretches: { xy: number[]; slopePct: number; outward: boolean; last: number }[] = [];
  let current = 0;
  pieces.forEach((piece, index) => {
    while (current < spans.length && spans[current].lastVertex <= piece.edge) current++;
    const span = spans[current];
    const slopePct = 100 * Math.sqrt(piece.along * piece.along + piece.toRight * piece.toRight);
    if (!(slopePct > limit) || span === undefined || span.of === 'lead') return;
    // The working area lies on the left of the wire: ground that falls to the right takes the machine out.
    const outward = -100 * piece.toRight > limit;
    const open = stretches[stretches.length - 1];
    if (open !== undefined && open.last === index - 1 && open.outward === outward) {
      open.xy.push(piece.bx, piece.by);
      open.slopePct = Math.max(open.slopePct, slopePct);
      open.last = index;
    } else stretches.push({ xy: [piece.ax, piece.ay, piece.bx, piece.by], slopePct, outward, last: index });
  });
  return stretches
    .map(({ xy, slopePct, outward }) => ({ line: Float64Array.from(xy), slopePct, outward }))
    .filter(({ line }) => lineLengthM(line) >= rules.wheelBaseM);
}

/** Steepest in either direction, percent; NaN where nothing is known. */
function most(pieces: readonly FeltPiece[], way: 'along' | 'toRight'): number {
  let steepest = Number.NaN;
  for (const piece of pieces) {
    const pct = 100 * Math.abs(piece[way]);
    if (pct > steepest || (Number.isNaN(steepest) && !Number.isNaN(pct))) steepest = pct;
  }
  return steepest;
}

function wireFindings(stretches: readonly SteepWire[], { uncertaintyPct }: SlopeSurvey, rules: Rules): Finding[] {
  const limit = rules.slopeAtWireMaxPct;
  return [true, false].flatMap((outward): Finding[] => {
    const some = stretches.filter((stretch) => stretch.outward === outward);
    if (some.length === 0) return [];
    const lengthM = some.reduce((sum, { line }) => sum + lineLengthM(line), 0);
    const worst = some.reduce((a, b) => (b.slopePct > a.slopePct ? b : a));
    const middle = 2 * Math.floor(worst.line.length / 4);
    const where = outward ? 'falls outward over the wire' : 'rises outward or falls along the wire';
    return [
      {
        code: outward ? 'check-slope.wire-downhill' : 'check-slope.wire-on-slope',
        severity: outward ? 'caution' : 'note',
        message:
          `On ${lengthM.toFixed(1)} m of wire the ground is steeper than ${limit} % and ${where}; ` +
          `the steepest has ${worst.slopePct.toFixed(1)} %${uncertaintyPct >= 0.05 ? ` (± ${uncertaintyPct.toFixed(1)} %)` : ''}.`,
        advice: outward
          ? 'Lay the wire back up to gentler ground here, or set a rim or fence beyond it: momentum carries the machine over a wire on the downhill side.'
          : 'Check on site that wheels do not slip sideways along the wire; lay it back where they do.',
        value: worst.slopePct,
        limit,
        unit: '%',
        at: { x: worst.line[middle], y: worst.line[middle + 1] },
      },
    ];
  });
}

/** Along a passage the limit of the working area holds; across it the wire is near on both sides, so the tighter one. */
function passageFindings({ id, alongPct, acrossPct }: FeltPassage, { passages }: ZonedArea, rules: Rules): Finding[] {
  const at = passages.find((passage) => passage.id === id)?.narrowestAt[0];
  const isAlong = alongPct > rules.slopeInsideMaxPct;
  if (!isAlong && !(acrossPct > rules.slopeAtWireMaxPct)) return [];
  const [value, limit] = isAlong ? [alongPct, rules.slopeInsideMaxPct] : [acrossPct, rules.slopeAtWireMaxPct];
  return [
    {
      code: isAlong ? 'check-slope.passage-climbs' : 'check-slope.passage-leans',
      severity: 'caution',
      message: isAlong
        ? `The passage climbs ${value.toFixed(1)} % where ${limit} % is allowed: the machine may not get through.`
        : `The passage leans ${value.toFixed(1)} % to one side where ${limit} % is allowed beside a wire: the machine may slide over it.`,
      advice: isAlong
        ? 'Regrade the passage, or have the zone behind it mown from its own side.'
        : 'Level the passage across, or widen it on its lower side.',
      value,
      limit,
      unit: '%',
      ...(at && { at }),
      subject: id,
    },
  ];
}

function longerOnGround({ groundLengthM: onGround }: SlopeCheck, { routes }: JoinedRoute, rules: Rules): Finding[] {
  return routes.flatMap(({ id, lengthM }, i): Finding[] => {
    const groundM = onGround[i];
    const morePct = groundM === undefined ? 0 : (100 * (groundM - lengthM)) / lengthM;
    // A tenth of the reserve for the slopes is what the reserve is for.
    if (groundM === undefined || morePct <= rules.reservePct / 10) return [];
    const isOver = morePct > rules.reservePct;
    return [
      {
        code: 'check-slope.longer-on-ground',
        severity: isOver ? 'caution' : 'note',
        message: `On the ground the wire is ${groundM.toFixed(1)} m long, ${morePct.toFixed(1)} % more than on plan (${lengthM.toFixed(1)} m); the reserve is ${rules.reservePct} %.`,
        advice: 'The take-off orders by the length on the ground; mind it where wire is measured off the drawing.',
        value: morePct,
        limit: rules.reservePct,
        unit: '%',
        subject: id,
      },
    ];
  });
}

/** Where the rule set keeps the machine off steep ground: lawn and wire that this takes. */
function costOfSteep({ loops, route }: CheckSlopeInput, { steep }: SlopeSurvey, rules: Rules): Finding[] {
  if (!rules.excludeSteep || steep.length === 0) return [];
  const isSteep = (pointers: readonly string[]): boolean => pointers.some((pointer) => pointer.startsWith('steep-'));
  const own = loops.loops.filter(({ kind, around }) => kind === 'keep-out' && isSteep(around));
  const bays = loops.bays.filter(({ around }) => isSteep(around));
  const ids = new Set(own.map(({ id }) => id));
  const leads = route.leads.filter(({ connects }) => connects.some((id) => ids.has(id)));
  const loopM = own.reduce((sum, { lengthM }) => sum + lengthM, 0);
  const leadM = leads.reduce((sum, { lengthM }) => sum + 2 * lengthM, 0);
  const areaM2 =
    own.reduce((sum, { ring }) => sum + Math.abs(ringAreaM2(ring)), 0) +
    totalAreaM2(bays.map(({ polygon }) => polygon));
  const round =
    bays.length === 0
      ? ''
      : `, and the boundary wire goes around ${bays.length === 1 ? 'one place' : `${bays.length} places`}`;
  return [
    {
      code: 'check-slope.steep-excluded',
      severity: 'note',
      message:
        `Keeping the machine off ${totalAreaM2(steep).toFixed(1)} m² of steep ground takes ${areaM2.toFixed(1)} m² out of the working area ` +
        `and ${(loopM + leadM).toFixed(1)} m of wire (${loopM.toFixed(1)} m in loops, ${leadM.toFixed(1)} m in leads)${round}.`,
      advice: 'Regrading the steepest places, or a machine that climbs more, gives this ground back.',
      value: areaM2,
      unit: 'm²',
    },
  ];
}
