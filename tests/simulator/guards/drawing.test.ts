// docs/guards.svg: drawn from the circuit, and joined up as the circuit is.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { guardBoard } from '../../../simulator/guards/board';
import { drawing, isOn, pinsOnSheet } from '../../../simulator/guards/drawing';
import { FLAGS, PLACES, type Point, WIRES } from '../../../simulator/guards/layout';

const kept = readFileSync(fileURLToPath(new URL('../../../docs/guards.svg', import.meta.url)), 'utf8');

interface Pin {
  name: string;
  net: string;
  at: Point;
}

const pins = guardBoard.parts.flatMap((part) =>
  pinsOnSheet(part).map((at, i): Pin => ({ name: `${part.id}.${i + 1}`, net: part.pins[i], at })),
);

const touches = (p: Point, wire: Point[]) => wire.slice(1).some((to, i) => isOn(p, wire[i], to));
const isSame = (a: Point, b: Point) => a[0] === b[0] && a[1] === b[1];

/** Something on the sheet that joins others: a pin, a flag or a wire. */
interface Piece {
  ends: Point[];
  wire: Point[];
  pin?: Pin;
  flag?: string;
}

const pieces: Piece[] = [
  ...pins.map((pin): Piece => ({ ends: [pin.at], wire: [], pin })),
  ...FLAGS.map(({ at, net }): Piece => ({ ends: [at], wire: [], flag: net })),
  ...WIRES.map((wire): Piece => ({ ends: [wire[0], wire.at(-1)!], wire })),
];

/** Wires that only cross are not joined: one of the two must end on the other. */
function isJoined(a: Piece, b: Piece): boolean {
  if (a.flag !== undefined && a.flag === b.flag) return true;
  const endsOn = (p: Point, one: Piece) => one.ends.some((q) => isSame(p, q)) || touches(p, one.wire);
  return a.ends.some((p) => endsOn(p, b)) || b.ends.some((p) => endsOn(p, a));
}

/** Pieces that the lines join, group by group. */
function groups(): Piece[][] {
  const left = new Set(pieces);
  const found: Piece[][] = [];
  for (const first of pieces) {
    if (!left.delete(first)) continue;
    const group = [first];
    for (const one of group)
      for (const other of left)
        if (isJoined(one, other)) {
          left.delete(other);
          group.push(other);
        }
    found.push(group);
  }
  return found;
}

const namesOf = (some: Pin[]) =>
  some
    .map(({ name }) => name)
    .sort()
    .join(' ');

describe('the drawing of the guard board', () => {
  it('is the one in the documents', () => {
    expect(kept, 'run `npm run guards -- document`').toBe(drawing(guardBoard));
  });

  it('has every part, and none that is not in the circuit', () => {
    const ids = guardBoard.parts.map(({ id }) => id).sort();
    expect(Object.keys(PLACES).sort()).toEqual(ids);
    for (const id of ids) expect(kept, id).toMatch(new RegExp(`class="id">${id}<`));
  });

  it('joins exactly the pins that share a net, under its name', () => {
    const drawn = groups().map((group) => namesOf(group.flatMap(({ pin }) => pin ?? [])));
    const nets = [...new Set(pins.map(({ net }) => net))];
    expect(drawn.sort()).toEqual(nets.map((net) => namesOf(pins.filter((pin) => pin.net === net))).sort());
    for (const group of groups()) {
      const net = group.find(({ pin }) => pin)!.pin!.net;
      for (const { flag } of group) expect(flag ?? net).toBe(net);
    }
  });

  it('refuses a part without a place', () => {
    const more = { ...guardBoard.parts[0], id: 'R99' };
    expect(() => drawing({ ...guardBoard, parts: [...guardBoard.parts, more] })).toThrow(
      'The drawing has no place for R99.',
    );
  });
});
