// The general ODE library `odex` (Hairer & Wanner's Gragg–Bulirsch–Stoer code), typed by hand: its package carries no
// declarations.
import { createRequire } from 'node:module';

interface OdexSolver {
  absoluteTolerance: number;
  relativeTolerance: number;
  initialStepSize: number;
  maxSteps: number;
  solve(
    f: (x: number, y: number[]) => number[],
    x0: number,
    y0: number[],
    x1: number,
  ): { y: number[]; outcome: number };
}

const { Solver } = createRequire(import.meta.url)('odex') as { Solver: new (dimension: number) => OdexSolver };

/**
 * Integrates dy/dx = f from x0 to x1 at relative and absolute tolerance 1e-12 (or as told). Throws where the library
 * gives up.
 */
export function odex(
  f: (x: number, y: number[]) => number[],
  x0: number,
  y0: number[],
  x1: number,
  tolerance = 1e-12,
): number[] {
  if (x1 === x0) return y0.slice();
  const solver = new Solver(y0.length);
  solver.absoluteTolerance = tolerance;
  solver.relativeTolerance = tolerance;
  solver.initialStepSize = Math.abs(x1 - x0) / 10;
  solver.maxSteps = 100_000;
  const answer = solver.solve(f, x0, y0, x1);
  if (answer.outcome !== 0) throw new Error(`odex gave up: outcome ${answer.outcome}`);
  return answer.y;
}
