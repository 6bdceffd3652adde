// Which of one observer's winds are turned round: from and toward may be mixed up in some of them only, and the ones
// that agree would vouch for each other. Sought among all signs, one flip at a time, from none and from all turned.
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
 * of     the winds of one observer, and what all else says there
 * least  what each turn must gain by itself, so that winds that hardly tell are left as they are
 * Cost   an inverse of their covariance, and its size squared a turn
 */
export function turnedAmong(of: readonly Observation[], { pu, pv, covariance }: Jointly, least: number): Turned {
  const m = of.length;
  const s = covariance.slice();
  of.forEach(({ std_mps }, i) => (s[i * m + i] = nth(s, i * m + i) + std_mps ** 2));
  if (!cholesky(s, m)) return { which: [], logRatio: 0, excess: 0 };
  const a = inverseMatrix(s, m);
  const u = Float64Array.from(of, ({ u_mps }) => u_mps);
  const v = Float64Array.from(of, ({ v_mps }) => v_mps);
  const from = (turned: Uint8Array, gain: number): Pick<Turned, 'which' | 'logRatio'> => {
    const du = u.map((x, i) => (turned[i] === 1 ? -x : x) - nth(pu, i));
    const dv = v.map((x, i) => (turned[i] === 1 ? -x : x) - nth(pv, i));
    let sum = 0;
    // Every turn gains, so that no signs come twice; twice the number is a bound against rounding.
    for (let turn = 0; turn < 2 * m; turn++) {
      let [best, most] = [-1, 0];
      for (let i = 0; i < m; i++) {
        const sign = turned[i] === 1 ? -1 : 1;
        const [cu, cv] = [-2 * sign * nth(u, i), -2 * sign * nth(v, i)];
        const along = cu * dot(a, i * m, du, 0, m) + cv * dot(a, i * m, dv, 0, m);
        const gained = -along - 0.5 * (cu * cu + cv * cv) * nth(a, i * m + i) - (sign === 1 ? gain : -gain);
        if (gained > most) [best, most] = [i, gained];
      }
      if (best < 0) break;
      const sign = turned[best] === 1 ? -1 : 1;
      sum += most + (sign === 1 ? gain : -gain);
      du[best] = nth(du, best) - 2 * sign * nth(u, best);
      dv[best] = nth(dv, best) - 2 * sign * nth(v, best);
      turned[best] = sign === 1 ? 1 : 0;
    }
    return { which: Array.from(turned.keys()).filter((i) => turned[i] === 1), logRatio: sum };
  };
  const some = from(new Uint8Array(m), least);
  // All turned: −2 wᵀ A p of both components.
  let all = 0;
  for (let i = 0; i < m; i++) all -= 2 * (nth(u, i) * dot(a, i * m, pu, 0, m) + nth(v, i) * dot(a, i * m, pv, 0, m));
  const most = from(new Uint8Array(m).fill(1), -least);
  const few: Turned = { ...some, excess: some.logRatio - least * some.which.length };
  const logRatio = most.logRatio + all;
  const many: Turned = { which: most.which, logRatio, excess: logRatio - least * (m - most.which.length + 1) };
  return many.excess > few.excess ? many : few;
}
