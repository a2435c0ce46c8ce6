/*
 * The offset stage's work by native GEOS, for comparison: lawn minus the union of round buffers of its edges, one buffer for each
 * distance (the fastest form: inset by the least distance first, then subtract buffers of the chains that keep more), minus the grown
 * keep-outs.
 *
 *   cc -O2 -o geos-offset geos-offset.c -lgeos_c -lm && ./geos-offset ROUNDS < lawns.txt
 *
 * Input: for each lawn a line `lawn RINGS KEEPOUTS`, then for each ring a line `ring N` and N lines `x y distance` (the distance belongs
 * to the edge to the next vertex; rings not closed), then the keep-outs in the same form: one distance all round, one vertex for a
 * disc. Output: one line a round and lawn `lawn seconds areaM2`, start-up and reading not counted.
 */
#include <geos_c.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define MAX_DISTANCES 64
static const double ARC_TOLERANCE_M = 0.001;

typedef struct {
  int count;
  double *xy;
  double *distance;
} Ring;
typedef struct {
  int rings;
  Ring *ring;
  int keepOuts;
  Ring *keepOut;
} Lawn;

static GEOSContextHandle_t context;

static void quiet(const char *message, void *data) {
  (void)message;
  (void)data;
}

static double nowSeconds(void) {
  struct timespec at;
  clock_gettime(CLOCK_MONOTONIC, &at);
  return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

static void *allocate(size_t bytes) {
  void *memory = malloc(bytes > 0 ? bytes : 1);
  if (memory == NULL) {
    fprintf(stderr, "out of memory\n");
    exit(2);
  }
  return memory;
}

/* Segments of a quarter circle so that chords stay within the arc tolerance. */
static int quarterSegments(double radiusM) {
  double sagitta = ARC_TOLERANCE_M / radiusM;
  int segments = (int)ceil(M_PI / 2 / (2 * acos(1 - (sagitta < 1 ? sagitta : 1))));
  return segments < 2 ? 2 : segments;
}

static GEOSGeometry *ringGeometry(const Ring *ring) {
  GEOSCoordSequence *positions = GEOSCoordSeq_create_r(context, (unsigned)ring->count + 1, 2);
  for (int i = 0; i <= ring->count; i++) {
    int k = i % ring->count;
    GEOSCoordSeq_setXY_r(context, positions, (unsigned)i, ring->xy[2 * k], ring->xy[2 * k + 1]);
  }
  return GEOSGeom_createLinearRing_r(context, positions);
}

static GEOSGeometry *lawnGeometry(const Lawn *lawn) {
  GEOSGeometry **holes = allocate(sizeof(GEOSGeometry *) * (size_t)lawn->rings);
  for (int r = 1; r < lawn->rings; r++) holes[r - 1] = ringGeometry(&lawn->ring[r]);
  GEOSGeometry *polygon =
      GEOSGeom_createPolygon_r(context, ringGeometry(&lawn->ring[0]), holes, (unsigned)lawn->rings - 1);
  free(holes);
  return polygon;
}

/* A chain of edges of one distance that starts at the edge `first`. */
static GEOSGeometry *chainGeometry(const Ring *ring, int first, int edges) {
  GEOSCoordSequence *positions = GEOSCoordSeq_create_r(context, (unsigned)edges + 1, 2);
  for (int i = 0; i <= edges; i++) {
    int k = (first + i) % ring->count;
    GEOSCoordSeq_setXY_r(context, positions, (unsigned)i, ring->xy[2 * k], ring->xy[2 * k + 1]);
  }
  return GEOSGeom_createLineString_r(context, positions);
}

static int collectChains(const Ring *ring, double distanceM, GEOSGeometry **chains, int count) {
  int start = -1;
  for (int i = 0; i < ring->count && start < 0; i++)
    if (ring->distance[i] != ring->distance[(i + ring->count - 1) % ring->count]) start = i;
  if (start < 0) {
    if (ring->distance[0] == distanceM) chains[count++] = chainGeometry(ring, 0, ring->count);
    return count;
  }
  for (int k = 0; k < ring->count;) {
    int first = (start + k) % ring->count;
    int edges = 0;
    while (k < ring->count && ring->distance[(start + k) % ring->count] == ring->distance[first]) {
      k++;
      edges++;
    }
    if (ring->distance[first] == distanceM) chains[count++] = chainGeometry(ring, first, edges);
  }
  return count;
}

/* A keep-out grown by its distance: a disc from its middle, anything else from its outline. */
static GEOSGeometry *grown(const Ring *ring) {
  GEOSGeometry *shape;
  if (ring->count == 1) {
    shape = GEOSGeom_createPointFromXY_r(context, ring->xy[0], ring->xy[1]);
  } else {
    shape = GEOSGeom_createPolygon_r(context, ringGeometry(ring), NULL, 0);
  }
  GEOSGeometry *result = GEOSBuffer_r(context, shape, ring->distance[0], quarterSegments(ring->distance[0]));
  GEOSGeom_destroy_r(context, shape);
  return result;
}

static GEOSGeometry *inset(const Lawn *lawn) {
  double distances[MAX_DISTANCES];
  int distinct = 0;
  int vertices = 0;
  double least = INFINITY;
  for (int r = 0; r < lawn->rings; r++) {
    vertices += lawn->ring[r].count;
    for (int i = 0; i < lawn->ring[r].count; i++) {
      double distance = lawn->ring[r].distance[i];
      int known = 0;
      for (int d = 0; d < distinct; d++) known |= distances[d] == distance;
      if (!known && distinct < MAX_DISTANCES) distances[distinct++] = distance;
      if (distance < least) least = distance;
    }
  }
  GEOSGeometry *ground = lawnGeometry(lawn);
  GEOSGeometry *result = GEOSBuffer_r(context, ground, -least, quarterSegments(least));
  GEOSGeom_destroy_r(context, ground);
  GEOSGeometry **chains = allocate(sizeof(GEOSGeometry *) * (size_t)vertices);
  GEOSGeometry **buffers = allocate(sizeof(GEOSGeometry *) * (size_t)(MAX_DISTANCES + lawn->keepOuts));
  int bufferCount = 0;
  for (int d = 0; d < distinct; d++) {
    if (distances[d] == least) continue;
    int count = 0;
    for (int r = 0; r < lawn->rings; r++) count = collectChains(&lawn->ring[r], distances[d], chains, count);
    GEOSGeometry *lines = GEOSGeom_createCollection_r(context, GEOS_MULTILINESTRING, chains, (unsigned)count);
    buffers[bufferCount++] = GEOSBuffer_r(context, lines, distances[d], quarterSegments(distances[d]));
    GEOSGeom_destroy_r(context, lines);
  }
  free(chains);
  for (int k = 0; k < lawn->keepOuts; k++) buffers[bufferCount++] = grown(&lawn->keepOut[k]);
  if (bufferCount == 0) {
    free(buffers);
    return result;
  }
  GEOSGeometry *all = GEOSGeom_createCollection_r(context, GEOS_GEOMETRYCOLLECTION, buffers, (unsigned)bufferCount);
  free(buffers);
  GEOSGeometry *kept = GEOSUnaryUnion_r(context, all);
  GEOSGeom_destroy_r(context, all);
  if (kept == NULL) {
    GEOSGeom_destroy_r(context, result);
    return NULL;
  }
  GEOSGeometry *inside = GEOSDifference_r(context, result, kept);
  GEOSGeom_destroy_r(context, kept);
  GEOSGeom_destroy_r(context, result);
  return inside;
}

static int readRing(Ring *ring, int least) {
  if (scanf(" ring %d", &ring->count) != 1 || ring->count < least) return 0;
  ring->xy = allocate(sizeof(double) * 2 * (size_t)ring->count);
  ring->distance = allocate(sizeof(double) * (size_t)ring->count);
  for (int i = 0; i < ring->count; i++)
    if (scanf("%lf %lf %lf", &ring->xy[2 * i], &ring->xy[2 * i + 1], &ring->distance[i]) != 3) return 0;
  return 1;
}

static int readLawn(Lawn *lawn) {
  if (scanf(" lawn %d %d", &lawn->rings, &lawn->keepOuts) != 2) return 0;
  lawn->ring = allocate(sizeof(Ring) * (size_t)lawn->rings);
  lawn->keepOut = allocate(sizeof(Ring) * (size_t)lawn->keepOuts);
  for (int r = 0; r < lawn->rings; r++)
    if (!readRing(&lawn->ring[r], 3)) return 0;
  for (int k = 0; k < lawn->keepOuts; k++)
    if (!readRing(&lawn->keepOut[k], 1)) return 0;
  return 1;
}

int main(int argc, char **argv) {
  int rounds = argc > 1 ? atoi(argv[1]) : 1;
  context = GEOS_init_r();
  GEOSContext_setNoticeMessageHandler_r(context, quiet, NULL);
  GEOSContext_setErrorMessageHandler_r(context, quiet, NULL);
  int room = 4096;
  int count = 0;
  Lawn *lawns = allocate(sizeof(Lawn) * (size_t)room);
  while (count < room && readLawn(&lawns[count])) count++;
  for (int round = 0; round < rounds; round++) {
    for (int i = 0; i < count; i++) {
      double from = nowSeconds();
      GEOSGeometry *inside = inset(&lawns[i]);
      double to = nowSeconds();
      double areaM2 = NAN;
      if (inside != NULL) {
        GEOSArea_r(context, inside, &areaM2);
        GEOSGeom_destroy_r(context, inside);
      }
      printf("%d %.9f %.6f\n", i, to - from, areaM2);
    }
  }
  GEOS_finish_r(context);
  return 0;
}
