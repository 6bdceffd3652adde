/** Fixes that stay away so long are lost, s: common practice with receivers that give one a second. */
export const LOST_S = 15;
