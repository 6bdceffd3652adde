// Where a landing lies, in the words and units of the window.
import { never } from '../../../core/base/problem.ts';
import type { Where } from '../../../core/recovery/where.ts';
import { directionWords, distance, type Units } from '../../format.ts';

export { landmarkToward, whereOf, type Where } from '../../../core/recovery/where.ts';

export function whereWords(where: Where, units: Units): string {
  switch (where.kind) {
    case 'inside':
      return `Lands in ${where.zone}, ${distance(where.margin_m, units)} inside its edge`;
    case 'outside':
      return `Lands ${distance(where.short_m, units)} outside ${where.zone}, on its ${directionWords(where.bearing_deg)} side`;
    case 'no zones':
      return 'Lands away from any zone: the plan names none';
    default:
      return never(where);
  }
}
