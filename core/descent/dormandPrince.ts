// The Dormand–Prince 5(4) pair, first same as last: the nodes, the rows of its matrix of which the last is the
// fifth-order result, and the weights of its error (fifth less fourth order). Source: Hairer, Nørsett & Wanner, Solving
// Ordinary Differential Equations I (1993), table II.5.2.

export const NODES = Float64Array.of(1 / 5, 3 / 10, 4 / 5, 8 / 9, 1, 1);

export const ROWS: readonly Float64Array[] = [
  [1 / 5],
  [3 / 40, 9 / 40],
  [44 / 45, -56 / 15, 32 / 9],
  [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729],
  [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656],
  [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
].map((row) => Float64Array.from(row));

export const ERROR_WEIGHTS = Float64Array.of(71 / 57600, 0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40);
