// The tokens that one pattern has taken, and the line that they come from.
import type { Parts, Sense } from './parts.ts';
import type { Token, TokenClass } from './tokens.ts';
import { HEIGHT_REFERENCES, HEIGHT_UNITS, SPEED_UNITS, type HeightUnit, type SpeedUnit } from './vocabulary.ts';

export class Said {
  readonly tokens: readonly Token[];
  /** Where in the line they begin. */
  readonly start: number;

  constructor(line: readonly Token[], start: number, length: number) {
    this.tokens = line.slice(start, start + length);
    this.start = start;
  }

  has(...classes: readonly TokenClass[]): boolean {
    return this.tokens.some((one) => classes.includes(one.class));
  }
  text(cls: TokenClass): string {
    return this.tokens.find((one) => one.class === cls)?.text ?? '';
  }
  get numbers(): readonly Token[] {
    return this.tokens.filter((one) => one.class === 'ddd' || one.class === 'number');
  }
  get names(): readonly string[] {
    return this.tokens.find((one) => one.class === 'name')?.names ?? [];
  }
  get sense(): Sense {
    for (const cls of ['from', 'toward', 'to', 'into'] as const) if (this.has(cls)) return cls;
    return null;
  }
  get north(): 'true' | 'magnetic' | null {
    return this.has('magnetic', 'm') ? 'magnetic' : this.has('true') ? 'true' : null;
  }
  get speedUnit(): SpeedUnit | null {
    return SPEED_UNITS.get(this.text('speed')) ?? null;
  }
  get heightUnit(): HeightUnit | null {
    return this.has('m') ? 'm' : (HEIGHT_UNITS.get(this.text('length')) ?? null);
  }
  get reference(): 'MSL' | 'AGL' | null {
    return HEIGHT_REFERENCES.get(this.text('reference')) ?? null;
  }
  /** The lowest and highest of the numbers from `first` on; null where they are not a range. */
  range(first = 0): { readonly low: number; readonly high: number } | null {
    const [low, high = low] = this.numbers.slice(first).map((one) => Number(one.text));
    return low !== undefined && high !== undefined && high >= low ? { low, high } : null;
  }
}

export const textOf = (said: Said): string => said.tokens.map((one) => one.text).join(' ');

/** A line while it is read. What later words may still explain waits for the end. */
export interface Line {
  readonly parts: Parts;
  readonly isTeam: (names: readonly string[]) => boolean;
  readonly bare: Said[];
  readonly names: Said[];
  readonly strengths: Said[];
  readonly norths: Said[];
  readonly references: Said[];
}

/** What a pattern means; `false`: it does not fit after all, and the next is tried. */
export type Meaning = (said: Said, line: Line) => boolean | void;
