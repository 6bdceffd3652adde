// One wind file of a mission as it was read, before it is looked at.
import type { WindGrid } from '../air/grid.ts';
import type { DecodedWinds } from '../air/levels.ts';
import type { Problem } from '../base/problem.ts';

/** What a wind file of the mission held. */
export interface WindSource {
  readonly file: string;
  readonly decoded: readonly DecodedWinds[];
  readonly grids: readonly WindGrid[];
  readonly problems: readonly Problem[];
}
