// docs/guards.md as the circuit and the kept results would have it.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { guardBoard } from '../../../simulator/guards/board';
import { filled, tables } from '../../../simulator/guards/document';
import { readFaults, readPieces } from './results';

export const DOCUMENT = fileURLToPath(new URL('../../../docs/guards.md', import.meta.url));

export function documentNow(): string {
  const contents = tables(guardBoard, readFaults().rows, readPieces().rows);
  return filled(readFileSync(DOCUMENT, 'utf8'), contents);
}
