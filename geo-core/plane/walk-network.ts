/**
 * One closed walk over loops joined by lines: every loop once in its own sense, every joining line out and back. No two wires
 * of the walk cross: at a junction it takes the next strand as one would with a hand on the wall.
 *
 *        child loop                 Left of every loop is ground with winding 1, right of it winding 0. A line lies in one
 *         +--<--+                   or the other. In ground 1 the walk keeps the ground on its left and takes the first
 *         |     |                   strand clockwise from where it came; in ground 0 the first one anticlockwise.
 *         +->v--+                   Coming along a loop it serves the lines on its left, then those on its right.
 *            ||  line, twice
 *     --->---v+---->---  loop
 */
export type Strand<Of extends string> = {
  readonly id: string;
  readonly of: Of;
  /** Closed loops are walked once, forwards; open lines once each way. Flat x, y; a loop's first vertex is not repeated. */
  readonly closed: boolean;
  readonly line: Float64Array;
};

export type Walk<Of extends string> = {
  /** Closed: the first point is repeated at the end. */
  readonly line: Float64Array;
  readonly runs: readonly { of: Of; id: string; firstVertex: number; lastVertex: number }[];
};

type Ground = 'left' | 'right';
/** A stretch of a strand from one junction to the next, in the direction of walking. */
type Step = {
  readonly from: number;
  readonly to: number;
  readonly strand: number;
  /** Its vertices: of the strand's line from `first` on, `count` steps of `stride` (1 or -1), wrapping round a loop. */
  readonly first: number;
  readonly count: number;
  readonly stride: number;
  /** In which ground an open line lies, seen from the loops it joins; undefined for a step along a loop. */
  readonly ground: Ground | undefined;
};

/**
 * Junctions are vertices with equal coordinates: every line must begin and end on a vertex of another strand. Lines of no
 * length are left out. The walk begins at the vertex (x, y) of the first strand, a loop. Throws when there is no such vertex.
 */
export function walkNetwork<Of extends string>(strands: readonly Strand<Of>[], x: number, y: number): Walk<Of> {
  const net = network(strands, x, y);
  const start = net.leaving[0].find(({ strand }) => strand === 0);
  if (start === undefined) throw new Error(`the walk begins at (${x}, ${y}), which is no vertex of ${strands[0]?.id}`);
  const line = [x, y];
  const runs: { of: Of; id: string; firstVertex: number; lastVertex: number }[] = [];
  let step = start;
  for (let taken = 0; taken < net.stepCount; taken++) {
    const { id, of } = strands[step.strand];
    const before = line.length / 2 - 1;
    pushVertices(line, strands[step.strand].line, step);
    const run = runs[runs.length - 1];
    if (run?.id === id && run.of === of) run.lastVertex = line.length / 2 - 1;
    else runs.push({ of, id, firstVertex: before, lastVertex: line.length / 2 - 1 });
    step = nextStep(net, step);
    if (step === start) break;
  }
  return { line: new Float64Array(line), runs };
}

/** The vertices of a step but its first; vertices that repeat the one before are left out. */
function pushVertices(walked: number[], line: Float64Array, { first, count, stride }: Step): void {
  const vertices = line.length / 2;
  for (let k = 1, vertex = first; k <= count; k++) {
    vertex = vertex + stride === vertices ? 0 : vertex + stride;
    const [x, y] = [line[2 * vertex], line[2 * vertex + 1]];
    if (x !== walked[walked.length - 2] || y !== walked[walked.length - 1]) walked.push(x, y);
  }
}

type Network = {
  readonly lines: readonly Float64Array[];
  readonly leaving: readonly (readonly Step[])[];
  /** The step along a loop into a junction, by strand and junction. */
  readonly arriving: ReadonlyMap<string, Step>;
  readonly stepCount: number;
};

function network<Of extends string>(strands: readonly Strand<Of>[], x: number, y: number): Network {
  const junctions = junctionsOf(strands, x, y);
  const lines = strands.map(({ line }) => line);
  const cuts = lines.map((line) => cutsOf(line, junctions));
  const leaving = Array.from({ length: junctions.count }, (): Step[] => []);
  const arriving = new Map<string, Step>();
  let stepCount = 0;
  const add = (step: Step): void => {
    leaving[step.from].push(step);
    stepCount++;
  };
  strands.forEach(({ closed, line }, strand) => {
    if (!closed) return;
    const own = cuts[strand];
    own.forEach(({ vertex, junction: from }, k) => {
      const { vertex: end, junction: to } = own[(k + 1) % own.length];
      const count = end > vertex ? end - vertex : end - vertex + line.length / 2;
      const step = { from, to, strand, first: vertex, count, stride: 1, ground: undefined };
      add(step);
      arriving.set(nameOf(strand, to), step);
    });
  });
  const bare = { lines, leaving, arriving };
  const grounds = strands.map(({ closed }, strand) => (closed ? undefined : groundOfLine(bare, strand, cuts[strand])));
  strands.forEach(({ closed }, strand) => {
    const own = cuts[strand];
    if (closed || isOfNoLength(lines[strand])) return;
    for (let k = 0; k + 1 < own.length; k++) {
      const [{ vertex, junction }, { vertex: end, junction: to }] = [own[k], own[k + 1]];
      const [count, ground] = [end - vertex, grounds[strand] ?? ('left' as const)];
      add({ from: junction, to, strand, first: vertex, count, stride: 1, ground });
      add({ from: to, to: junction, strand, first: end, count, stride: -1, ground });
    }
  });
  return { ...bare, stepCount };
}

const nameOf = (strand: number, junction: number): string => `${strand},${junction}`;

type Junctions = { readonly count: number; at(x: number, y: number): number | undefined };

/** The ends of all open lines, and where the walk begins (junction 0). */
function junctionsOf<Of extends string>(strands: readonly Strand<Of>[], x: number, y: number): Junctions {
  const byX = new Map<number, Map<number, number>>();
  let count = 0;
  const add = (px: number, py: number): void => {
    const column = byX.get(px) ?? new Map<number, number>();
    byX.set(px, column);
    if (!column.has(py)) column.set(py, count++);
  };
  add(x, y);
  for (const { closed, line } of strands) {
    if (closed) continue;
    add(line[0], line[1]);
    add(line[line.length - 2], line[line.length - 1]);
  }
  return { count, at: (px, py) => byX.get(px)?.get(py) };
}

type Cut = { readonly vertex: number; readonly junction: number };

/** The vertices of a line that are junctions. */
function cutsOf(line: Float64Array, junctions: Junctions): Cut[] {
  const cuts: Cut[] = [];
  for (let vertex = 0; 2 * vertex < line.length; vertex++) {
    const junction = junctions.at(line[2 * vertex], line[2 * vertex + 1]);
    const repeated = vertex > 0 && cuts[cuts.length - 1]?.vertex === vertex - 1 && isRepeat(line, vertex);
    if (junction !== undefined && !repeated) cuts.push({ vertex, junction });
  }
  return cuts;
}

const isRepeat = (line: Float64Array, vertex: number): boolean =>
  line[2 * vertex] === line[2 * vertex - 2] && line[2 * vertex + 1] === line[2 * vertex - 1];

const isOfNoLength = (line: Float64Array): boolean => line.every((value, i) => value === line[i % 2]);

type Bare = Pick<Network, 'lines' | 'leaving' | 'arriving'>;

/** A line lies in the ground that its end shares with the loop there; a line from line to line in that of its neighbours. */
function groundOfLine(bare: Bare, strand: number, cuts: readonly Cut[]): Ground | undefined {
  const line = bare.lines[strand];
  if (isOfNoLength(line)) return undefined;
  const last = line.length / 2 - 1;
  for (const { vertex, junction } of [cuts[cuts.length - 1], cuts[0]]) {
    const out = bare.leaving[junction].find((step) => step.ground === undefined);
    const arriving = out && bare.arriving.get(nameOf(out.strand, junction));
    if (out === undefined || arriving === undefined) continue;
    const back = backOf(bare, arriving);
    const inner = directionFrom(line, vertex, vertex === last ? -1 : 1);
    return clockwiseFrom(back, inner) < clockwiseFrom(back, outOf(bare, out)) ? 'left' : 'right';
  }
  return undefined;
}

function nextStep(net: Network, arrived: Step): Step {
  const leaving = net.leaving[arrived.to];
  if (leaving.length === 1) return leaving[0];
  const first = arrived.ground === 'right' ? undefined : sweep(net, arrived.to, backOf(net, arrived), 'left');
  if (first !== undefined && first.ground !== undefined) return first;
  if (first === undefined) return sweep(net, arrived.to, backOf(net, arrived), 'right') ?? leaving[0];
  const along = net.arriving.get(nameOf(first.strand, arrived.to));
  return (along && sweep(net, arrived.to, backOf(net, along), 'right')) ?? first;
}

/** The first strand of a ground, or loop, from the direction back: clockwise for ground on the left, else anticlockwise. */
function sweep(net: Network, junction: number, back: number, ground: Ground): Step | undefined {
  let nearest: Step | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const step of net.leaving[junction]) {
    if (step.ground !== undefined && step.ground !== ground) continue;
    const clockwise = clockwiseFrom(back, outOf(net, step));
    const turn = clockwise === 0 || ground === 'right' ? 4 - clockwise : clockwise;
    if (turn < least) {
      nearest = step;
      least = turn;
    }
  }
  return nearest;
}

const outOf = ({ lines }: Bare, { strand, first, stride }: Step): number => directionFrom(lines[strand], first, stride);

/** Back along a step from the junction that it leads into. */
function backOf({ lines }: Bare, { strand, first, count, stride }: Step): number {
  const line = lines[strand];
  return directionFrom(line, (first + count * stride) % (line.length / 2), -stride);
}

/** How far direction `to` lies clockwise from direction `back`, 0 to 4, growing with the angle (4 is the full turn). */
function clockwiseFrom(back: number, to: number): number {
  return back < to ? back - to + 4 : back - to;
}

/**
 * Direction of a line from one of its vertices on, past vertices that repeat it. A stand-in for the angle that needs no
 * arctangent: 0 east, 1 north, 2 west, 3 south, growing in between.
 */
function directionFrom(line: Float64Array, vertex: number, stride: number): number {
  const vertices = line.length / 2;
  const [x, y] = [line[2 * vertex], line[2 * vertex + 1]];
  let [next, dx, dy] = [vertex, 0, 0];
  do {
    next = (next + stride + vertices) % vertices;
    [dx, dy] = [line[2 * next] - x, line[2 * next + 1] - y];
  } while (dx === 0 && dy === 0 && next !== vertex);
  const share = dy / (Math.abs(dx) + Math.abs(dy));
  if (dx < 0) return 2 - share;
  return share < 0 ? 4 + share : share;
}
