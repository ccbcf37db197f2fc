// Draws the guard board as SVG from the circuit and its layout.
import { FLAGS, HEADINGS, PLACES, type Point, SHEET, WIRES } from './layout';
import type { Circuit, Kind, Part } from './part';

/** From the first to the second pin of a two-pin part. */
const LENGTH = 60;
const STEP: { [to in 'right' | 'down' | 'left' | 'up']: Point } = {
  right: [1, 0],
  down: [0, 1],
  left: [-1, 0],
  up: [0, -1],
};
const TURN = { right: 0, down: 90, left: 180, up: 270 };

interface Chip {
  width: number;
  height: number;
  /** Pins in the order of the part's, from the upper left corner, each with its name. */
  pins: { at: Point; name: string }[];
}

const CHIPS: { [kind in Kind]?: Chip } = {
  monostable: {
    ...{ width: 180, height: 100 },
    pins: [
      { at: [0, 40], name: 'trigger' },
      { at: [40, 0], name: 'RC' },
      { at: [180, 60], name: 'Q' },
      { at: [160, 0], name: 'VDD' },
    ],
  },
  counter: {
    ...{ width: 160, height: 200 },
    pins: [
      { at: [80, 200], name: 'reset' },
      { at: [0, 100], name: '10' },
      { at: [0, 160], name: '9' },
      { at: [0, 40], name: '11' },
      { at: [160, 40], name: 'Q14' },
      { at: [160, 100], name: 'Q4' },
      { at: [50, 0], name: 'VDD' },
    ],
  },
  'photo-MOSFET': {
    ...{ width: 110, height: 70 },
    pins: [
      { at: [0, 30], name: 'LED' },
      { at: [70, 70], name: '' },
      { at: [110, 30], name: '' },
    ],
  },
};

function place(part: Part) {
  const found = PLACES[part.id];
  if (!found) throw new Error(`The drawing has no place for ${part.id}.`);
  return found;
}

/** Where the pins of a part are on the sheet, in the order of its pins. */
export function pinsOnSheet(part: Part): Point[] {
  const { at, to } = place(part);
  const [x, y] = at;
  const chip = CHIPS[part.kind];
  if (chip) return chip.pins.map((pin): Point => [x + pin.at[0], y + pin.at[1]]);
  const [up, down]: Point[] = [
    [x + 30, y - 30],
    [x + 30, y + 30],
  ];
  if (part.kind === 'nfet') return [up, at, down];
  if (part.kind === 'pfet') return [down, at, up];
  const [dx, dy] = STEP[to ?? 'right'];
  return [at, [x + dx * LENGTH, y + dy * LENGTH]];
}

const line = (points: Point[]) => `M${points.map((p) => p.join(' ')).join(' L')}`;

/** Strokes of a two-pin part that leads to the right from 0, 0. */
const STROKES: { [kind in Kind]?: string } = {
  resistor: 'M0 0 H15 M15 -7 H45 V7 H15 Z M45 0 H60',
  capacitor: 'M0 0 H26 M26 -12 V12 M34 -12 V12 M34 0 H60',
  fuse: 'M0 0 H60 M12 -6 H48 V6 H12 Z',
  coil: 'M0 0 H15 M15 -12 H45 V12 H15 Z M15 12 L45 -12 M45 0 H60',
  diode: 'M0 0 H22 M22 -9 V9 L38 0 Z M38 -9 V9 M38 0 H60',
  lamp: 'M0 0 H22 M22 -9 V9 L38 0 Z M38 -9 V9 M38 0 H60 M28 -12 l8 -8 m-4 0 h4 v4 M36 -10 l8 -8 m-4 0 h4 v4',
  button: 'M0 0 H18 M42 0 H60 M18 -8 H42 M30 -8 V-16 M22 -16 H38',
};

/** Gate plate, channel, drain and source; the arrow tells N from P. */
const FET_STROKES = 'M0 0 H16 M16 -14 V14 M21 -18 V18 M21 -14 H30 V-30 M21 14 H30 V30 M30 0 H21 M30 0 V14';
const ARROWS = { nfet: 'M22 0 l7 -4 v8 Z', pfet: 'M29 0 l-7 -4 v8 Z' };

function text(at: Point, words: string, anchor = 'start', style = ''): string {
  return `<text x="${at[0]}" y="${at[1]}" text-anchor="${anchor}"${style && ` class="${style}"`}>${words}</text>`;
}

/** "R4 909 kΩ"; parts without a value have their name alone. */
function caption(part: Part): string {
  const hasValue = part.kind === 'resistor' || part.kind === 'capacitor';
  return `<tspan class="id">${part.id}</tspan>${hasValue ? ` ${part.rating.split(',')[0]}` : ''}`;
}

function drawChip(part: Part, chip: Chip): string[] {
  const [x, y] = place(part).at;
  const middle: Point = [x + chip.width / 2, y + chip.height / 2 + 4];
  const names = chip.pins.map(({ at: [px, py], name }) => {
    if (py === 0) return text([x + px, y + 14], name, 'middle', 'pin');
    if (py === chip.height) return text([x + px, y + py - 5], name, 'middle', 'pin');
    return px === 0
      ? text([x + 5, y + py + 4], name, 'start', 'pin')
      : text([x + px - 5, y + py + 4], name, 'end', 'pin');
  });
  return [
    `<rect x="${x}" y="${y}" width="${chip.width}" height="${chip.height}" class="box"/>`,
    ...names,
    text(middle, part.id, 'middle', 'id'),
  ];
}

function drawPart(part: Part): string[] {
  const chip = CHIPS[part.kind];
  if (chip) return drawChip(part, chip);
  const { at, to = 'right' } = place(part);
  const [x, y] = at;
  if (part.kind === 'nfet' || part.kind === 'pfet')
    return [
      `<path d="${FET_STROKES}" transform="translate(${x} ${y})"/>`,
      `<path d="${ARROWS[part.kind]}" class="full" transform="translate(${x} ${y})"/>`,
      text([x + 36, y + 5], caption(part)),
    ];
  const [dx, dy] = STEP[to];
  const [mx, my] = [x + (dx * LENGTH) / 2, y + (dy * LENGTH) / 2];
  const beside = part.kind === 'lamp' || part.kind === 'button' ? 30 : 18;
  const words =
    dy === 0 ? text([mx, my - 14], caption(part), 'middle') : text([mx + beside, my + 4], caption(part));
  return [`<path d="${STROKES[part.kind]}" transform="translate(${x} ${y}) rotate(${TURN[to]})"/>`, words];
}

function drawFlag({ at: [x, y], net, side }: (typeof FLAGS)[number]): string {
  if (net === '0') return `<path d="M${x} ${y} v8 m-9 0 h18 m-14 4 h10 m-7 4 h4"/>`;
  const dot = `<circle cx="${x}" cy="${y}" r="3" class="flag"/>`;
  if (side === 'up') return dot + text([x, y - 8], net, 'middle', 'net');
  return (
    dot +
    text(side === 'left' ? [x - 8, y + 4] : [x + 8, y + 4], net, side === 'left' ? 'end' : 'start', 'net')
  );
}

/** Whether a point lies on a stretch of wire, ends included. */
export function isOn([x, y]: Point, [x1, y1]: Point, [x2, y2]: Point): boolean {
  const inside = (v: number, a: number, b: number) => v >= Math.min(a, b) && v <= Math.max(a, b);
  return x1 === x2 ? x === x1 && inside(y, y1, y2) : y === y1 && inside(x, x1, x2);
}

/** Where three ends or more meet, or a wire ends on another. */
function dots(pins: Point[]): string[] {
  const ends = [...WIRES.flatMap((wire) => [wire[0], wire.at(-1)!]), ...pins];
  const meets = (p: Point) => {
    const atEnds = ends.filter(([x, y]) => x === p[0] && y === p[1]).length;
    const passing = WIRES.filter((wire) => {
      const isEnd = [wire[0], wire.at(-1)!].some(([x, y]) => x === p[0] && y === p[1]);
      return !isEnd && wire.slice(1).some((to, i) => isOn(p, wire[i], to));
    }).length;
    return atEnds + 2 * passing;
  };
  const places = new Map(ends.filter((p) => meets(p) > 2).map((p) => [p.join(), p]));
  return [...places.values()].map(([x, y]) => `<circle cx="${x}" cy="${y}" r="3.5" class="full"/>`);
}

const STYLE = `text{font:13px system-ui,"DejaVu Sans",Arial,sans-serif;fill:#1a1a1a;stroke:none}
path{fill:none;stroke:#1a1a1a;stroke-width:1.6}
.wire{stroke:#1f4e79}.full{fill:#1f4e79;stroke:none}.box{fill:#eef4fa;stroke:#1a1a1a;stroke-width:1.6}
.id{font-weight:700}.pin{font-size:11px}.net{font-style:italic;fill:#1f4e79}.flag{fill:#fff;stroke:#1f4e79;stroke-width:1.4}
.head{font-size:17px;font-weight:700}`;

/** The whole drawing. @throws Error when a part has no place on it */
export function drawing(circuit: Circuit): string {
  const { width, height } = SHEET;
  const names = circuit.parts.map(({ id }) => id).join(', ');
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-labelledby="t d">`,
    '<title id="t">The guard board</title>',
    `<desc id="d">Between 12 V and 0 V in series: fuse, switch of the hardware timer, coil, switch of the pulse detector, switch of enable. Parts: ${names}.</desc>`,
    `<style>${STYLE}</style>`,
    `<rect width="${width}" height="${height}" fill="#fff"/>`,
    ...HEADINGS.map(({ at, text: words }) => text(at, words, 'start', 'head')),
    text(
      [20, 24],
      'Wires with the same name in italics are joined. Chips: 0 V is not drawn. Values and duties are in guards.md.',
    ),
    ...WIRES.map((wire) => `<path d="${line(wire)}" class="wire"/>`),
    ...circuit.parts.flatMap(drawPart),
    ...FLAGS.map(drawFlag),
    ...dots(circuit.parts.flatMap(pinsOnSheet)),
    '</svg>',
    '',
  ].join('\n');
}
