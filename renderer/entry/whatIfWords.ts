// "what if surface +4": how much more wind near the ground is asked about. Without a unit it is m/s, as in the answer;
// the reading-back says it in both.
import type { WhatIf } from '../../core/advice/whatIf.ts';
import { MPS_PER_KMH, MPS_PER_KT } from '../../core/base/units.ts';
import { number, THIN } from '../../core/words/numbers.ts';
import { readNumber } from '../parts/typed.ts';

export type WhatIfEntry =
  | { readonly kind: 'what if'; readonly asked: WhatIf | null; readonly words: string }
  | { readonly kind: 'unknown'; readonly why: string };

const LINE = /^what\s+if(?:\s+(.*))?$/i;
const CHANGE = /^(?:the\s+)?surface(?:\s+wind)?\s+([+\-−]?\s*[\d.,]+)\s*(m\/s|mps|kt|kts|knots|km\/h|kmh)?$/i;
const MOST_MPS = 30;
const RIGHT = 'expected “what if surface +4” (m/s), “what if surface −3 kt”, or “what if nothing” to end it';

/**
 * Legal: "what if surface +4", "what if surface 4 m/s", "what if the surface wind -6 kt", "what if nothing"
 * Not:   "what if", "what if surface", "what if surface +200", "what if rain"
 * Null: the line is not about a what-if at all.
 */
export function readWhatIf(text: string): WhatIfEntry | null {
  const line = LINE.exec(text.trim());
  if (line === null) return null;
  const after = (line[1] ?? '').trim();
  if (/^(nothing|off|end)$/i.test(after)) return { kind: 'what if', asked: null, words: 'ends the what-if' };
  const found = CHANGE.exec(after);
  const typed = found === null ? null : readNumber((found[1] ?? '').replace(/\s/g, ''));
  if (found === null || typed === null)
    return {
      kind: 'unknown',
      why: `${after === '' ? 'What if what?' : `“${after}” is not asked about here;`} ${RIGHT}.`,
    };
  const unit = (found[2] ?? 'm/s').toLowerCase();
  const scale = unit.startsWith('k') && unit.includes('m') ? MPS_PER_KMH : unit.startsWith('k') ? MPS_PER_KT : 1;
  const surface_mps = typed * scale;
  if (!(Math.abs(surface_mps) <= MOST_MPS) || surface_mps === 0)
    return {
      kind: 'unknown',
      why: `${found[1]} is out of bounds; expected a change of the surface wind up to ${MOST_MPS} m/s.`,
    };
  const by =
    `${number(Math.abs(surface_mps), 1)}${THIN}m/s (${number(Math.abs(surface_mps) / MPS_PER_KT)}${THIN}kt) ` +
    (surface_mps < 0 ? 'less' : 'more');
  return {
    kind: 'what if',
    asked: { surface_mps },
    words: `shows the answer with ${by} wind near the ground, beside the present one; the plan stays`,
  };
}
