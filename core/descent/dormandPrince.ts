// The Dormand–Prince 5(4) pair, first same as last: nodes C, matrix A, weights B of the fifth-order result, weights E
// of its error (fifth less fourth order). Source: Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations I
// (1993), table II.5.2.

export const C2 = 1 / 5;
export const C3 = 3 / 10;
export const C4 = 4 / 5;
export const C5 = 8 / 9;

export const A21 = 1 / 5;
export const A31 = 3 / 40;
export const A32 = 9 / 40;
export const A41 = 44 / 45;
export const A42 = -56 / 15;
export const A43 = 32 / 9;
export const A51 = 19372 / 6561;
export const A52 = -25360 / 2187;
export const A53 = 64448 / 6561;
export const A54 = -212 / 729;
export const A61 = 9017 / 3168;
export const A62 = -355 / 33;
export const A63 = 46732 / 5247;
export const A64 = 49 / 176;
export const A65 = -5103 / 18656;

export const B1 = 35 / 384;
export const B3 = 500 / 1113;
export const B4 = 125 / 192;
export const B5 = -2187 / 6784;
export const B6 = 11 / 84;

export const E1 = 71 / 57600;
export const E3 = -71 / 16695;
export const E4 = 71 / 1920;
export const E5 = -17253 / 339200;
export const E6 = 22 / 525;
export const E7 = -1 / 40;
