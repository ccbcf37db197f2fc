// docs/guards.md as the circuit and the kept results would have it.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { guardBoard } from '../../../simulator/guards/board';
import { filled, tables } from '../../../simulator/guards/document';
import { readFaults, readPieces } from './results';

const at = (name: string) => fileURLToPath(new URL(`../../../docs/${name}`, import.meta.url));
export const DOCUMENT = at('guards.md');
export const DRAWING = at('guards.svg');

export function documentNow(): string {
  const contents = tables(guardBoard, readFaults().rows, readPieces().rows);
  return filled(readFileSync(DOCUMENT, 'utf8'), contents);
}
