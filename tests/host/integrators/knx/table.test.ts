// The table of group addresses: what is kept, what is added, and what is wrong with it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addressIn, addressText } from '../../../../host/integrators/knx/address';
import { completed, groupTable, matchRows, readGroupTable } from '../../../../host/integrators/knx/table';
import type { Site } from '../../../../host/site/model';
import { HOUSE } from '../../house/site';

const at = (text: string) => addressIn(text)!;
const FIRST = at('5/0/1');
const made = (site: Site = HOUSE) => completed([], [site], FIRST);
const read = (text: string) => readGroupTable(text, 'knx.csv');

/** The house with other luminaires in its first circuit. */
function withLuminaires(
  change: (all: Site['circuits'][0]['luminaires']) => Site['circuits'][0]['luminaires'],
) {
  const [a, b] = HOUSE.circuits;
  return { ...HOUSE, circuits: [{ ...a, luminaires: change(a.luminaires) }, b] };
}

it('reads every group address as it writes it, and no other text', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 0xffff }), (address) => {
      expect(addressIn(addressText(address))).toBe(address);
    }),
  );
  expect([addressText(0x2801), addressText(0xffff)]).toEqual(['5/0/1', '31/7/255']);
  for (const text of ['0/0/0', '32/0/0', '5/8/1', '5/0/256', '5/1', '1/2/3/4', '05.01.2012', ' 5/0/1', ''])
    expect(addressIn(text), text).toBeUndefined();
});

it('has every point of a site once, and reads what it has written', () => {
  const rows = made();
  const lines = groupTable(rows).split('\r\n');
  expect(lines.slice(0, 3)).toEqual([
    'address,building,what,id,point,type,name',
    '5/0/1,demo,building,demo,host,1.011,Demonstration house: host',
    '5/0/2,demo,building,demo,fault,1.005,Demonstration house: fault',
  ]);
  expect(lines).toContain('5/0/15,demo,luminaire,A-02,fault,1.005,"A-02, corridor: fault"');
  expect(read(groupTable(rows))).toEqual(rows.map(({ name: _name, ...row }) => row));
  expect(matchRows(rows, HOUSE)).toMatchObject({ strange: [], missing: [] });
});

it('is read as a spreadsheet writes it: other separators, a byte order mark, no names', () => {
  const text =
    '\ufeffaddress;building;what;id;point;type;name\r\n5/0/7;demo;circuit;a;fault;1.005;a, b; c\r\n';
  const row = { address: at('5/0/7'), building: 'demo', what: 'circuit', id: 'a', point: 'fault' };
  expect(read(text)).toEqual([row]);
  expect(read('address,building,what,id,point\n5/0/7,demo,circuit,a,fault')).toEqual([row]);
});

describe('what changes in the site', () => {
  it('moves no address: what is new gets the next ones, what is gone keeps its own', () => {
    const before = made();
    const [a1] = HOUSE.circuits[0].luminaires;
    const site = withLuminaires(() => [{ ...a1, id: 'A-00' }, a1]);
    const after = completed(before, [site], FIRST);
    const plain = (rows: typeof before) => rows.map(({ name: _name, ...row }) => row);
    expect(plain(after).slice(0, before.length)).toEqual(plain(before));
    expect(
      after.slice(before.length).map(({ address, id, point }) => [addressText(address!), id, point]),
    ).toEqual([
      ['5/0/19', 'A-00', 'fault'],
      ['5/0/20', 'A-00', 'not proven'],
    ]);
    const { strange, missing } = matchRows(after, site);
    expect([strange.map(({ id }) => id), missing]).toEqual([['A-02', 'A-02'], []]);
    expect(matchRows(before, site).missing.map(({ id }) => id)).toEqual(['A-00', 'A-00']);
  });

  it('leaves a luminaire its addresses under another id, unless the table has that id too', () => {
    const site = withLuminaires(([a1, a2]) => [a1, { ...a2, id: 'A-22', formerly: ['A-02'] }]);
    const before = made();
    const { addresses, strange, missing } = matchRows(before, site);
    expect([addresses.get('luminaire\nA-22\nfault'), strange, missing]).toEqual([at('5/0/15'), [], []]);
    const after = completed(before, [site], FIRST);
    expect(after).toHaveLength(before.length);
    expect(after.filter(({ id }) => id === 'A-22').map(({ address }) => address)).toEqual([
      at('5/0/15'),
      at('5/0/16'),
    ]);
    const both = [
      ...before,
      { ...before[0], address: at('6/0/1'), what: 'luminaire' as const, id: 'A-22', point: 'fault' },
    ];
    expect(matchRows(both, site).addresses.get('luminaire\nA-22\nfault')).toBe(at('6/0/1'));
  });

  it('leaves a luminaire that stands for several former ones the addresses of one, and can be read again', () => {
    const site = withLuminaires(([a1]) => [{ ...a1, id: 'A-22', formerly: ['A-00', 'A-02', 'A-01'] }]);
    const before = made();
    const after = completed(before, [site], FIRST);
    expect(after.map(({ address }) => address)).toEqual(before.map(({ address }) => address));
    expect(read(groupTable(after))).toHaveLength(before.length);
    const { addresses, strange, missing } = matchRows(before, site);
    expect(addresses.get('luminaire\nA-22\nfault')).toBe(at('5/0/15'));
    expect([strange.map(({ id }) => id), missing]).toEqual([['A-01', 'A-01'], []]);
  });

  it('gives no address to what was emptied, and none twice', () => {
    const before = made().map((row) => (row.id === 'A-01' ? { ...row, address: undefined } : row));
    expect(completed(before, [HOUSE], FIRST)).toEqual(before);
    expect(matchRows(before, HOUSE).addresses.has('luminaire\nA-01\nfault')).toBe(false);
    const two = completed(before, [HOUSE, { ...HOUSE, id: 'other' }], FIRST);
    const used = two.flatMap(({ address }) => address ?? []);
    expect(new Set(used).size).toBe(used.length);
    expect(two.filter(({ building }) => building === 'other')).toHaveLength(before.length);
  });

  it('runs out of addresses in one sentence', () => {
    expect(() => completed([], [HOUSE], at('31/7/250'))).toThrow(
      'From 31/7/250 on there are not enough group addresses; choose a lower --from, or take rows out of the table.',
    );
  });
});

describe('a mistake is one sentence with its line', () => {
  const HEAD = 'address,building,what,id,point,type,name\n';
  it.each([
    ['', 'knx.csv has no column address; write the table anew with `nightproof knx-addresses`.'],
    [
      'address,what\n5/0/1,x',
      'knx.csv has no column building; write the table anew with `nightproof knx-addresses`.',
    ],
    [
      `${HEAD}5/0/1,demo,lamp,A-01,fault,,`,
      'knx.csv, line 2: what must be building, circuit, luminaire, and not "lamp".',
    ],
    [
      `${HEAD}5/0/1,demo,luminaire,A-01,host,,`,
      'knx.csv, line 2: a luminaire has the points fault, not proven, and not "host".',
    ],
    [
      `${HEAD}5/0/1,demo,luminaire,A-01,fault,7.001,`,
      'knx.csv, line 2: the point fault of a luminaire has the type 1.005, and not "7.001".',
    ],
    [
      `${HEAD}05.01.2012,demo,luminaire,A-01,fault,,`,
      'knx.csv, line 2: "05.01.2012" is no group address, from 0/0/1 to 31/7/255; a spreadsheet may have made a date of it.',
    ],
    [
      `${HEAD}5/0/1,east,luminaire,A-01,fault,,\n\n5/0/1,west,luminaire,A-01,fault,,`,
      'knx.csv, line 4: the group address 5/0/1 is that of line 2 too; give each point its own.',
    ],
    [
      `${HEAD}5/0/1,demo,luminaire,A-01,fault,,\n5/0/2,demo,luminaire,A-01,fault,,`,
      'knx.csv, line 3: this point stands in line 2 too; keep one of them.',
    ],
  ])('%j', (text, sentence) => {
    expect(() => read(text)).toThrow(sentence);
  });

  it('whatever the text', () => {
    const cell = fc.oneof(fc.string(), fc.constantFrom('5/0/1', 'demo', 'circuit', 'fault', '"', '\n', ';'));
    fc.assert(
      fc.property(fc.array(fc.array(cell)), (rows) => {
        const text = HEAD + rows.map((row) => row.join(',')).join('\n');
        try {
          read(text);
        } catch (error) {
          expect((error as Error).message).toMatch(/^knx\.csv.*[.:]/);
        }
      }),
    );
  });
});
