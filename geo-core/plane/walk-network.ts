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
type Step = {
  readonly from: number;
  readonly to: number;
  readonly strand: number;
  /** In which ground an open line lies, seen from the loops it joins; undefined for a step along a loop. */
  readonly ground: Ground | undefined;
};

/**
 * Junctions are vertices with equal coordinates: every line must begin and end on a vertex of another strand. Lines of no
 * length are left out. The walk begins at the vertex (x, y) of the first strand, a loop. Throws when there is no such vertex.
 */
export function walkNetwork<Of extends string>(strands: readonly Strand<Of>[], x: number, y: number): Walk<Of> {
  const net = network(strands);
  const start = net.steps.find(
    ({ strand, from }) => strand === 0 && net.points[2 * from] === x && net.points[2 * from + 1] === y,
  );
  if (start === undefined) throw new Error(`the walk begins at (${x}, ${y}), which is no vertex of ${strands[0]?.id}`);
  const line = [x, y];
  const runs: { of: Of; id: string; firstVertex: number; lastVertex: number }[] = [];
  let step = start;
  for (let taken = 0; taken < net.steps.length; taken++) {
    const { id, of } = strands[step.strand];
    const vertex = line.length / 2;
    const run = runs[runs.length - 1];
    if (run?.id === id && run.of === of) run.lastVertex = vertex;
    else runs.push({ of, id, firstVertex: vertex - 1, lastVertex: vertex });
    line.push(net.points[2 * step.to], net.points[2 * step.to + 1]);
    step = nextStep(net, step);
    if (step === start) break;
  }
  return { line: Float64Array.from(line), runs };
}

type Network = {
  readonly points: readonly number[];
  readonly steps: readonly Step[];
  readonly leaving: readonly (readonly Step[])[];
  /** The step along a loop into a node, by strand and node. */
  readonly arriving: ReadonlyMap<string, Step>;
};

function network<Of extends string>(strands: readonly Strand<Of>[]): Network {
  const points: number[] = [];
  const nodes = new Map<string, number>();
  const nodeAt = (x: number, y: number): number => {
    const key = `${x},${y}`;
    const known = nodes.get(key);
    if (known !== undefined) return known;
    nodes.set(key, points.length / 2);
    points.push(x, y);
    return points.length / 2 - 1;
  };
  const nodesOf = strands.map(({ line }) => {
    const own: number[] = [];
    for (let i = 0; i < line.length; i += 2) {
      const node = nodeAt(line[i], line[i + 1]);
      if (node !== own[own.length - 1]) own.push(node);
    }
    return own;
  });
  const loops = strands.flatMap(({ closed }, strand): Step[] =>
    closed ? nodesOf[strand].map((from, k, own) => along(from, own[(k + 1) % own.length], strand, undefined)) : [],
  );
  const arriving = new Map(loops.map((step) => [junction(step.strand, step.to), step]));
  const bare = { points, steps: loops, leaving: byOrigin(loops, points.length / 2), arriving };
  const grounds = groundOfLines(bare, strands, nodesOf);
  const lines = strands.flatMap(({ closed }, strand): Step[] => {
    if (closed) return [];
    const own = nodesOf[strand];
    return own.slice(1).flatMap((to, k) => {
      const ground = grounds[strand] ?? 'left';
      return [along(own[k], to, strand, ground), along(to, own[k], strand, ground)];
    });
  });
  const steps = [...loops, ...lines];
  return { points, steps, leaving: byOrigin(steps, points.length / 2), arriving };
}

const junction = (strand: number, node: number): string => `${strand},${node}`;

const along = (from: number, to: number, strand: number, ground: Ground | undefined): Step => ({
  from,
  to,
  strand,
  ground,
});

function byOrigin(steps: readonly Step[], nodeCount: number): Step[][] {
  const leaving = Array.from({ length: nodeCount }, (): Step[] => []);
  for (const step of steps) leaving[step.from].push(step);
  return leaving;
}

/** A line lies in the ground that its end shares with the loop there; a line from line to line in that of its neighbours. */
function groundOfLines<Of extends string>(
  bare: Network,
  strands: readonly Strand<Of>[],
  nodesOf: readonly (readonly number[])[],
): (Ground | undefined)[] {
  return strands.map(({ closed }, strand) => {
    const own = nodesOf[strand];
    if (closed || own.length < 2) return undefined;
    for (const [end, inner] of [
      [own[own.length - 1], own[own.length - 2]],
      [own[0], own[1]],
    ]) {
      const out = bare.leaving[end][0];
      const arriving = out && bare.arriving.get(junction(out.strand, end));
      if (out === undefined || arriving === undefined) continue;
      const toLine = clockwiseFrom(bare, end, arriving.from, inner);
      return toLine < clockwiseFrom(bare, end, arriving.from, out.to) ? 'left' : 'right';
    }
    return undefined;
  });
}

function nextStep(net: Network, arrived: Step): Step {
  const node = arrived.to;
  const leaving = net.leaving[node];
  if (leaving.length === 1) return leaving[0];
  const first = arrived.ground === 'right' ? undefined : sweep(net, node, arrived.from, 'left');
  if (first !== undefined && first.ground !== undefined) return first;
  if (first === undefined) return sweep(net, node, arrived.from, 'right') ?? leaving[0];
  const back = net.arriving.get(junction(first.strand, node));
  return (back && sweep(net, node, back.from, 'right')) ?? first;
}

/** The first strand of a ground, or loop, from the direction back: clockwise for ground on the left, else anticlockwise. */
function sweep(net: Network, node: number, back: number, ground: Ground): Step | undefined {
  let nearest: Step | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const step of net.leaving[node]) {
    if (step.ground !== undefined && step.ground !== ground) continue;
    const clockwise = clockwiseFrom(net, node, back, step.to);
    const turn = clockwise === 0 || ground === 'right' ? 4 - clockwise : clockwise;
    if (turn < least) {
      nearest = step;
      least = turn;
    }
  }
  return nearest;
}

/** How far direction node-to lies clockwise from node-back, 0 to 4, growing with the angle (4 is the full turn). */
function clockwiseFrom(net: { readonly points: readonly number[] }, node: number, back: number, to: number): number {
  const turn = quarterTurns(net.points, node, back) - quarterTurns(net.points, node, to);
  return turn < 0 ? turn + 4 : turn;
}

/** A stand-in for the angle of a direction that needs no arctangent: 0 east, 1 north, 2 west, 3 south, growing in between. */
function quarterTurns(points: readonly number[], from: number, to: number): number {
  const dx = points[2 * to] - points[2 * from];
  const dy = points[2 * to + 1] - points[2 * from + 1];
  const share = dy / (Math.abs(dx) + Math.abs(dy));
  if (dx < 0) return 2 - share;
  return share < 0 ? 4 + share : share;
}
