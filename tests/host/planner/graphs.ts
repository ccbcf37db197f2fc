// Ways in which areas may adjoin each other, as pairs of their numbers.

export type Doors = [number, number][];

/** This many in a line, such as a corridor. */
export const line = (count: number): Doors =>
  Array.from({ length: count - 1 }, (_, i): [number, number] => [i, i + 1]);

/** A line that returns to its start. */
export const loop = (count: number): Doors => [...line(count), [count - 1, 0]];

export const T_JUNCTION: Doors = [
  [0, 1],
  [0, 2],
  [0, 3],
];

/** Two rows of three. */
export const GRID: Doors = [
  [0, 1],
  [1, 2],
  [3, 4],
  [4, 5],
  [0, 3],
  [1, 4],
  [2, 5],
];
