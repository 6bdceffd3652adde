/**
 * The number at a place that a column has. Only for `Float64Array`: handed columns of other kinds too, the engine could
 * no longer tell which one it reads, and every hot loop would pay for it.
 */
export const nth = (column: Float64Array, i: number): number => column[i] as number;

/** The same for rows of any other kind, whole numbers and lists among them; NaN outside the row. */
export const numberAt = (row: ArrayLike<number>, i: number): number => row[i] ?? NaN;
