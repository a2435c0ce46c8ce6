export type TerrainErrorCode =
  | 'empty-file'
  | 'unknown-format'
  | 'picture-too-coarse'
  | 'damaged-file'
  | 'too-many-cells'
  | 'unsupported-encoding'
  | 'several-bands'
  | 'not-georeferenced'
  | 'rotated-grid'
  | 'unknown-crs'
  | 'bad-header'
  | 'bad-values'
  | 'no-heights';

/** An elevation grid that cannot be used. `message` says what is wrong in one sentence, `advice` what to do about it. */
export class TerrainError extends Error {
  readonly code: TerrainErrorCode;
  readonly advice: string;

  constructor(code: TerrainErrorCode, message: string, advice: string, cause?: unknown) {
    super(message, { cause });
    this.name = 'TerrainError';
    this.code = code;
    this.advice = advice;
  }
}
