// What a person must be told of a live descent, each once when it begins: few, the gravest first.
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { chanceWords } from '../words/numbers.ts';
import type { PhaseNow } from './phases.ts';

export type AlertKind = 'opening late' | 'opening early' | 'fix lost' | 'landing left the zones';

export interface Alert {
  readonly kind: AlertKind;
  /** When it began, s since 1970. */
  readonly since_s: number;
  readonly text: string;
}

/** What the rules look at. */
export interface AlertView {
  readonly phase: PhaseNow | null;
  readonly lastFix_s: number | null;
  /** Height of the last fix above the ground there, m. */
  readonly agl_m: number | null;
  /** Height above ground at which the plan opens; null: it opens nothing. */
  readonly opens_agl_m: number | null;
  /** Chance to come down in any zone; null where it is not known. */
  readonly inZone: number | null;
}

/** Heights of an opening are known to the device and the fixes together, three standard deviations, m. */
const OPENING_BY_M = 200;
/** Fixes that stay away so long are lost, s: common practice with receivers that give one a second. */
export const LOST_S = 15;
const LEFT = { was: 0.6, is: 0.4 } as const;

/** Ranked: the first is the gravest. Each answers its sentence while it holds, else null. */
const RULES: readonly (readonly [AlertKind, (view: AlertView, at_s: number) => string | null])[] = [
  [
    'opening late',
    ({ phase, agl_m, opens_agl_m }) =>
      isFalling(phase) && agl_m !== null && opens_agl_m !== null && agl_m < opens_agl_m - OPENING_BY_M
        ? `still falling at ${distance(agl_m)} above ground; the plan opens at ${distance(opens_agl_m)}`
        : null,
  ],
  [
    'opening early',
    ({ phase, agl_m, opens_agl_m }) =>
      (phase?.phase === 'opening' || phase?.phase === 'canopy') &&
      agl_m !== null &&
      opens_agl_m !== null &&
      agl_m > opens_agl_m + OPENING_BY_M
        ? `under canopy at ${distance(agl_m)} above ground; the plan opens at ${distance(opens_agl_m)}`
        : null,
  ],
  [
    'fix lost',
    ({ phase, lastFix_s }, at_s) =>
      lastFix_s !== null && phase !== null && phase.phase !== 'down' && at_s - lastFix_s > LOST_S
        ? `no fix of the jumper for ${roughDuration(at_s - lastFix_s)}; the landing is the model’s since then`
        : null,
  ],
];

const isFalling = (phase: PhaseNow | null): boolean => phase?.phase === 'freefall' || phase?.phase === 'drogue';

export class Alerts {
  readonly #holding = new Set<AlertKind>();
  #wasInZone = false;

  /** The alerts that begin now. One that goes on is not said again; one that ended may come again. */
  at(at_s: number, view: AlertView): Alert[] {
    const begun: Alert[] = [];
    for (const [kind, rule] of RULES) this.#note(kind, at_s, rule(view, at_s), begun);
    const { inZone } = view;
    if (inZone !== null && inZone >= LEFT.was) this.#wasInZone = true;
    const left = this.#wasInZone && inZone !== null && inZone < LEFT.is;
    const words = left ? `${chanceWords(inZone)} come down in a zone; it was over ${chanceWords(LEFT.was)}` : null;
    this.#note('landing left the zones', at_s, words, begun);
    return begun;
  }

  #note(kind: AlertKind, at_s: number, text: string | null, begun: Alert[]): void {
    if (text === null) this.#holding.delete(kind);
    else if (!this.#holding.has(kind)) {
      this.#holding.add(kind);
      begun.push({ kind, since_s: at_s, text });
    }
  }
}
