// Which of one observer's winds are turned round: from and toward may be mixed up in some of them only, and the ones
// that agree would vouch for each other. Sought among all signs: one flip at a time, from none, from all and from those
// turned that oppose what all else says; and all from one of them on or up to one of them, for neighbours that are
// turned together fit each other.
import { nth } from '../base/nth.ts';
import { cholesky, dot, inverseMatrix } from './cholesky.ts';
import type { Observation } from './analysis.ts';
import type { Jointly } from './others.ts';

export interface Turned {
  /** Places in the list of those that are turned. */
  readonly which: readonly number[];
  /** ln of how many times better the winds fit with these turned than as they stand. */
  readonly logRatio: number;
  /** What is left of it after `least` for each sign that is not that of the rest, and for the rest being turned. */
  readonly excess: number;
}

/**
 * of     the winds of one observer, in order, and what all else says there
 * least  what each turn must gain by itself, so that winds that hardly tell are left as they are
 * Cost   an inverse of their covariance, and its size squared a turn
 */
export function turnedAmong(of: readonly Observation[], { pu, pv, covariance }: Jointly, least: number): Turned {
  const m = of.length;
  const s = covariance.slice();
  of.forEach(({ std_mps }, i) => (s[i * m + i] = nth(s, i * m + i) + std_mps ** 2));
  if (!cholesky(s, m)) return { which: [], logRatio: 0, excess: 0 };
  const inverse = inverseMatrix(s, m);
  const signs = (): Signs => new Signs(of, pu, pv, inverse);
  const some = climbed(signs(), least);
  const all = signs();
  for (let i = 0; i < m; i++) all.flip(i);
  const most = climbed(all, least);
  // Those that oppose what all else says.
  const opposed = signs();
  of.forEach(({ u_mps, v_mps }, i) => {
    if (u_mps * nth(pu, i) + v_mps * nth(pv, i) < 0) opposed.flip(i);
  });
  const rest = climbed(opposed, least);
  const excess = ({ which, logRatio }: Found): number =>
    logRatio - least * Math.min(which.length, m - which.length + 1);
  // One of as many places where it may have begun, or ended.
  const once = least + Math.log(2 * m);
  const candidates = [
    ...[some, most, rest].map((found) => ({ ...found, excess: excess(found) })),
    ...[upTo(signs(), false), upTo(signs(), true)].map((block) => ({ ...block, excess: block.logRatio - once })),
  ];
  return candidates.reduce((a, b) => (b.excess > a.excess ? b : a));
}

type Found = Pick<Turned, 'which' | 'logRatio'>;

/** The winds of an observer, some of them turned, and how much better they fit so. */
class Signs {
  readonly size: number;
  /** ln of how many times better they fit than as they stand. */
  logRatio = 0;
  readonly #turned: Uint8Array;
  readonly #inverse: Float64Array;
  readonly #u: Float64Array;
  readonly #v: Float64Array;
  /** What they are now, less what all else says. */
  readonly #du: Float64Array;
  readonly #dv: Float64Array;

  constructor(of: readonly Observation[], pu: Float64Array, pv: Float64Array, inverse: Float64Array) {
    this.size = of.length;
    this.#turned = new Uint8Array(of.length);
    this.#inverse = inverse;
    this.#u = Float64Array.from(of, ({ u_mps }) => u_mps);
    this.#v = Float64Array.from(of, ({ v_mps }) => v_mps);
    this.#du = this.#u.map((x, i) => x - nth(pu, i));
    this.#dv = this.#v.map((x, i) => x - nth(pv, i));
  }

  isTurned(i: number): boolean {
    return this.#turned[i] === 1;
  }

  /** What turning one round, or back, gains. */
  gainOf(i: number): number {
    const m = this.size;
    const [cu, cv] = this.#change(i);
    const along = cu * dot(this.#inverse, i * m, this.#du, 0, m) + cv * dot(this.#inverse, i * m, this.#dv, 0, m);
    return -along - 0.5 * (cu * cu + cv * cv) * nth(this.#inverse, i * m + i);
  }

  flip(i: number): void {
    this.logRatio += this.gainOf(i);
    const [cu, cv] = this.#change(i);
    this.#du[i] = nth(this.#du, i) + cu;
    this.#dv[i] = nth(this.#dv, i) + cv;
    this.#turned[i] = this.isTurned(i) ? 0 : 1;
  }

  found(): Found {
    const which = Array.from(this.#turned.keys()).filter((i) => this.isTurned(i));
    return { which, logRatio: this.logRatio };
  }

  #change(i: number): readonly [u: number, v: number] {
    const twice = this.isTurned(i) ? 2 : -2;
    return [twice * nth(this.#u, i), twice * nth(this.#v, i)];
  }
}

/** One flip at a time, the best first, while one gains more than `least`; one that is taken back gives it back. */
function climbed(signs: Signs, least: number): Found {
  const first = Array.from({ length: signs.size }, (_, i) => signs.isTurned(i));
  // Every turn gains, so that no signs come twice; twice the number is a bound against rounding.
  for (let turn = 0; turn < 2 * signs.size; turn++) {
    let [best, most] = [-1, 0];
    for (let i = 0; i < signs.size; i++) {
      const gained = signs.gainOf(i) - (signs.isTurned(i) === first[i] ? least : -least);
      if (gained > most) [best, most] = [i, gained];
    }
    if (best < 0) break;
    signs.flip(best);
  }
  return signs.found();
}

/** All up to one of them turned, or all from one of them on: as they are where somebody begins to mix them up. */
function upTo(signs: Signs, fromTheEnd: boolean): Found {
  const order = Array.from({ length: signs.size }, (_, k) => (fromTheEnd ? signs.size - 1 - k : k));
  let best = { which: [] as readonly number[], logRatio: 0 };
  order.forEach((i, k) => {
    signs.flip(i);
    if (signs.logRatio > best.logRatio) best = { which: order.slice(0, k + 1), logRatio: signs.logRatio };
  });
  return best;
}
