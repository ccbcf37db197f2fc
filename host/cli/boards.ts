// `boards`: what each board provides and what the program needs of it.
import { loadBoards, type NamedBoard } from '../../firmware/build/boards';
import { budgetTable } from '../../firmware/build/fits';
import { firmwareFor } from '../flash/firmware';

/**
 * Prints every board with its title, and its storage and memory against what the program needs.
 * @returns the exit code
 * @throws Error in one sentence when a board's program is missing and cannot be built.
 */
export async function boardsCommand(): Promise<number> {
  const boards = await loadBoards();
  const bytesOf = (board: NamedBoard): number => firmwareFor(board).length;
  const longest = Math.max(...boards.map(({ name }) => name.length));
  const titles = boards.map(({ name, title }) => `${name.padEnd(longest)}  ${title}`);
  process.stdout.write(`${titles.join('\n')}\n\n${budgetTable(boards, bytesOf)}\n`);
  return 0;
}
