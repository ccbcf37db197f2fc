// The register map as docs/modbus.md, and where the things of a site are in it.
import type { Site } from '../../site/model';
import { tableText } from '../../site/table/cells';
import { type Block, BUILDING, CIRCUIT, LUMINAIRE, placeOf } from './map';

function table<T>({ at, fields }: Block<T>, from: string): string[] {
  let offset = 0;
  const rows = fields.map(({ name, what, words }) => {
    const register = from === '' ? String(at + offset) : `${from} + ${offset}`;
    offset += words;
    return `| ${register} | ${words} | ${name} | ${what} |`;
  });
  return ['| register | words | name | what |', '| --- | --- | --- | --- |', ...rows, ''];
}

/** The document. */
export function modbusDocument(): string {
  return [
    '# The registers of Modbus TCP',
    '',
    'Written from `host/integrators/modbus/map.ts`; how to use it is in [integrators.md](integrators.md#registers-by-modbus-tcp).',
    '',
    'Registers are numbered from 0, as on the wire: tools that count from 1, or from 30001 and 40001, add that. The same',
    'registers are read as input (function 4) and as holding registers (function 3). Two words are one number, the high word first.',
    '',
    `\`c\` is ${CIRCUIT.at} and ${CIRCUIT.stride} more for each circuit, \`l\` is ${LUMINAIRE.at} and ${LUMINAIRE.stride} more for each`,
    'luminaire, both in the order of the site file: `contract --site SITE.yaml` writes which is where.',
    `Unit 1 (also 0 and 255) has the first ${CIRCUIT.perUnit} circuits and ${LUMINAIRE.perUnit} luminaires, unit 2 the next, and so on; the`,
    'building is in each. After a start of the host, until something is known, counts, troubles and numbers of days are 65535, and',
    'all else but the layout is 0, the verdict of a luminaire too. What is not in the map is refused with exception 2, every function but 3 and 4 with exception 1.',
    '',
    'A host of several buildings has one unit for each, in the order of its site files from 1 on; it prints them when it starts. A unit',
    'whose building is not served answers exception 11 (gateway target device failed to respond), every other one, 0 and 255 too,',
    'exception 10 (gateway path unavailable).',
    '',
    '## Building',
    '',
    ...table(BUILDING, ''),
    '## Circuit',
    '',
    ...table(CIRCUIT, 'c'),
    '## Luminaire',
    '',
    ...table(LUMINAIRE, 'l'),
  ].join('\n');
}

/** Where each circuit and luminaire of a site begins, as a table with commas. */
export function modbusPlaces({ circuits }: Site): string {
  const luminaires = circuits.flatMap((circuit) => circuit.luminaires);
  const row = (what: string, id: string, words: string, { unit, register }: ReturnType<typeof placeOf>) => [
    ...[what, id, words],
    ...[unit, register],
  ];
  return tableText([
    ['what', 'id', 'name', 'unit', 'register'],
    ...circuits.map(({ id, name }, i) => row('circuit', id, name, placeOf(CIRCUIT, i))),
    ...luminaires.map(({ id, place }, i) => row('luminaire', id, place, placeOf(LUMINAIRE, i))),
  ]);
}
