// The available boards: each file in `firmware/board/boards` is one, so adding a file adds a board.
import { readdirSync } from 'node:fs';
import type { Board } from '../board/board';

export interface NamedBoard extends Board {
  /** File name, which is also its name on the command line. */
  name: string;
}

const FOLDER = new URL('../board/boards/', import.meta.url);
const SOURCE = /\.[jt]s$/;

const files = readdirSync(FOLDER).filter((file) => SOURCE.test(file));

/** Names of all boards, in alphabetical order. */
export const BOARD_NAMES: readonly string[] = files.map((file) => file.replace(SOURCE, '')).sort();

/** @throws Error with one sentence when there is no board of that name. */
export async function loadBoard(name: string): Promise<NamedBoard> {
  const file = files.find((one) => one.replace(SOURCE, '') === name);
  if (!file) throw new Error(`There is no board "${name}"; name one of: ${BOARD_NAMES.join(', ')}.`);
  const { default: board } = (await import(new URL(file, FOLDER).href)) as { default: Board };
  return { name, ...board };
}

export function loadBoards(): Promise<NamedBoard[]> {
  return Promise.all(BOARD_NAMES.map(loadBoard));
}
