import { arcTangent, areaSine, hyperbolicSineCosine, sineCosine } from './portable-functions.ts';

/** WGS 84: NIMA TR8350.2. */
const SEMI_MAJOR_M = 6_378_137;
const FLATTENING = 1 / 298.257_223_563;
/** The third flattening, in which all series run. */
const N = FLATTENING / (2 - FLATTENING);

/**
 * Series to n^6: Karney, Transverse Mercator with an accuracy of a few nanometers, J. Geodesy 85 (2011) 475-485, equations 14
 * (radius of the rectifying sphere), 35 (conformal sphere -> plane) and 36 (back); latitudes after Engsager and Poder, A highly accurate world wide
 * algorithm for the transverse Mercator mapping (almost), 23rd International Cartographic Conference (2007).
 */
const RECTIFYING_M = (SEMI_MAJOR_M / (1 + N)) * (1 + N * N * (1 / 4 + N * N * (1 / 64 + (N * N) / 256)));
const TO_PLANE = series([
  [1 / 2, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37_800],
  [13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1_983_433 / 1_935_360],
  [61 / 240, -103 / 140, 15_061 / 26_880, 167_603 / 181_440],
  [49_561 / 161_280, -179 / 168, 6_601_661 / 7_257_600],
  [34_729 / 80_640, -3_418_889 / 1_995_840],
  [212_378_941 / 319_334_400],
]);
const FROM_PLANE = series([
  [-1 / 2, 2 / 3, -37 / 96, 1 / 360, 81 / 512, -96_199 / 604_800],
  [-1 / 48, -1 / 15, 437 / 1440, -46 / 105, 1_118_711 / 3_870_720],
  [-17 / 480, 37 / 840, 209 / 4480, -5569 / 90_720],
  [-4397 / 161_280, 11 / 504, 830_251 / 7_257_600],
  [-4583 / 161_280, 108_847 / 3_991_680],
  [-20_648_693 / 638_668_800],
]);
const TO_CONFORMAL = series([
  [-2, 2 / 3, 4 / 3, -82 / 45, 32 / 45, 4642 / 4725],
  [5 / 3, -16 / 15, -13 / 9, 904 / 315, -1522 / 945],
  [-26 / 15, 34 / 21, 8 / 5, -12_686 / 2835],
  [1237 / 630, -12 / 5, -24_832 / 14_175],
  [-734 / 315, 109_598 / 31_185],
  [444_337 / 155_925],
]);
const FROM_CONFORMAL = series([
  [2, -2 / 3, -2, 116 / 45, 26 / 45, -2854 / 675],
  [7 / 3, -8 / 5, -227 / 45, 2704 / 315, 2323 / 945],
  [56 / 15, -136 / 35, -1262 / 105, 73_814 / 2835],
  [4279 / 630, -332 / 35, -399_572 / 14_175],
  [4174 / 315, -144_838 / 6237],
  [601_676 / 22_275],
]);

/**
 * The transverse Mercator of WGS 84, scale 1 on its meridian, y from the equator. Radians and metres; `lon` from the meridian. The
 * same bits in every engine (portable-functions.ts); 5 nm from the exact projection up to 3,900 km from the meridian.
 */
export const transverseMercator = {
  forward(lon: number, lat: number): { readonly x: number; readonly y: number } {
    const geodetic = sineCosine(lat);
    const shift = sineCosine(sumOfSines(TO_CONFORMAL, geodetic.sine, geodetic.cosine));
    const sine = geodetic.sine * shift.cosine + geodetic.cosine * shift.sine;
    const cosine = geodetic.cosine * shift.cosine - geodetic.sine * shift.sine;
    const { sine: sinLon, cosine: cosLon } = sineCosine(lon);
    // On the conformal sphere: tan xi = tan chi / cos lon, sinh eta = sin lon cos chi / h, cosh eta = 1 / h.
    const along = cosine * cosLon;
    const h = Math.sqrt(sine * sine + along * along);
    const sinhEta = (cosine * sinLon) / h;
    const bent = complexSum(TO_PLANE, sine / h, along / h, sinhEta, 1 / h);
    return {
      x: RECTIFYING_M * (areaSine(sinhEta) + bent.eta),
      y: RECTIFYING_M * (arcTangent(sine, along) + bent.xi),
    };
  },

  inverse(x: number, y: number): { readonly lon: number; readonly lat: number } {
    const xi = y / RECTIFYING_M;
    const eta = x / RECTIFYING_M;
    const flatXi = sineCosine(xi);
    const flatEta = hyperbolicSineCosine(eta);
    const bent = complexSum(FROM_PLANE, flatXi.sine, flatXi.cosine, flatEta.sine, flatEta.cosine);
    const { sine, cosine } = sineCosine(xi + bent.xi);
    const { sine: sinhEta, cosine: coshEta } = hyperbolicSineCosine(eta + bent.eta);
    // Sine and cosine of the conformal latitude.
    const up = sine / coshEta;
    const out = Math.sqrt(sinhEta * sinhEta + cosine * cosine) / coshEta;
    return { lon: arcTangent(sinhEta, cosine), lat: arcTangent(up, out) + sumOfSines(FROM_CONFORMAL, up, out) };
  },
};

/** Rows of coefficients of n^k, n^(k+1), ... for k = 1, 2, ... -> the coefficients of sin 2k. */
function series(rows: readonly (readonly number[])[]): readonly number[] {
  let power = 1;
  return rows.map((row) => {
    power *= N;
    return power * row.reduceRight((sum, coefficient) => coefficient + N * sum, 0);
  });
}

/** Sum of c_k sin 2k angle, after Clenshaw. */
function sumOfSines(coefficients: readonly number[], sine: number, cosine: number): number {
  const r = 2 * (1 - 2 * sine * sine);
  let now = 0;
  let before = 0;
  for (let k = coefficients.length - 1; k >= 0; k--) {
    const next = coefficients[k] + r * now - before;
    before = now;
    now = next;
  }
  return 2 * sine * cosine * now;
}

/** Sum of c_k sin 2k (xi + i eta), after Clenshaw, in complex numbers. */
function complexSum(
  coefficients: readonly number[],
  sine: number,
  cosine: number,
  sinhEta: number,
  coshEta: number,
): { readonly xi: number; readonly eta: number } {
  const [sin2, cos2] = [2 * sine * cosine, 1 - 2 * sine * sine];
  const [sinh2, cosh2] = [2 * sinhEta * coshEta, 1 + 2 * sinhEta * sinhEta];
  const [r, i] = [2 * cos2 * cosh2, -2 * sin2 * sinh2];
  let re = 0;
  let im = 0;
  let reBefore = 0;
  let imBefore = 0;
  for (let k = coefficients.length - 1; k >= 0; k--) {
    const reNext = coefficients[k] + r * re - i * im - reBefore;
    const imNext = r * im + i * re - imBefore;
    reBefore = re;
    imBefore = im;
    re = reNext;
    im = imNext;
  }
  const [sinRe, sinIm] = [sin2 * cosh2, cos2 * sinh2];
  return { xi: sinRe * re - sinIm * im, eta: sinRe * im + sinIm * re };
}
