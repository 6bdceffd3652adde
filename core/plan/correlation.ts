// Over which time and distance a wind error is remembered where the mission says nothing. s and m; MODEL.md §8.
export const DEFAULT_CORRELATION_TIME_S = 6 * 3600;
export const DEFAULT_CORRELATION_DISTANCE_M = 150_000;
