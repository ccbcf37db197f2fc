// `knx-addresses`, and what `serve` says of its table.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { runCommand } from '../../support/command';
import { SMALL } from '../site/small';

let folder: string;
const at = (name: string) => join(folder, name);
const run = (...args: string[]) => runCommand(['knx-addresses', ...args]);
const rows = () => readFileSync(at('knx.csv'), 'utf8').trim().split('\r\n');

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-addresses-'));
  writeFileSync(at('mill.yaml'), SMALL);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

it('makes a table, and adds to it what is new without moving what is there', () => {
  const table = ['--out', at('knx.csv')];
  const first = run(at('mill.yaml'), ...table, '--from', '5/7/250');
  expect([first.code, first.stderr, first.stdout]).toEqual([
    ...[0, ''],
    `${at('knx.csv')}: 13 points, 13 of them new, 5/7/250 to 6/0/6. Empty the addresses of those that are not wanted.\n`,
  ]);
  const before = rows();
  expect(before[1]).toBe('5/7/250,mill,building,mill,host,1.011,The old mill: host');
  expect(before.at(-1)).toBe('6/0/6,mill,luminaire,A-2,not proven,1.005,"A-2, Ladder: not proven"');
  writeFileSync(
    at('mill.yaml'),
    SMALL.replace(
      '- { id: A-1,',
      '- { id: A-0, place: Desk, area: hall, mode: non-maintained, batteryMilliamps: 90 }\n      - { id: A-1,',
    ),
  );
  writeFileSync(at('barn.yaml'), SMALL.replace('id: mill', 'id: barn'));
  const second = run(at('mill.yaml'), at('barn.yaml'), ...table);
  expect(second.stdout).toContain('28 points, 15 of them new, 6/0/7 to 6/0/21.');
  expect(rows().slice(0, before.length)).toEqual(before);
  expect(rows()[before.length]).toBe('6/0/7,mill,luminaire,A-0,fault,1.005,"A-0, Desk: fault"');
  expect(rows().at(-1)).toContain('6/0/21,barn,luminaire,A-2,not proven');
});

it('leaves a table with a mistake as it is', () => {
  writeFileSync(at('knx.csv'), 'address,building,what,id,point\n5/1,mill,circuit,one,fault\n');
  const { code, stderr } = run(at('mill.yaml'), '--out', at('knx.csv'));
  expect([code, stderr]).toEqual([
    1,
    `${at('knx.csv')}, line 2: "5/1" is no group address, from 0/0/1 to 31/7/255; a spreadsheet may have made a date of it.\n`,
  ]);
  expect(rows()).toHaveLength(1);
});

it('says a mistake in one sentence', () => {
  expect(run(at('mill.yaml'), '--out', at('knx.csv')).stderr).toBe(
    '--from is missing: name the first group address that is to be used, such as --from 5/0/1.\n',
  );
  expect(run(at('mill.yaml'), '--out', at('no/knx.csv'), '--from', '5/0/1').stderr).toBe(
    `--out ${at('no/knx.csv')}: the file cannot be written (ENOENT); what was there stays.\n`,
  );
  expect(run(at('mill.yaml'), '--out', at('knx.csv'), '--from', '0/0/0').stderr).toContain(
    '--from takes a group address from 0/0/1 to 31/7/255, such as 5/0/1.',
  );
  const serve = (...args: string[]) => runCommand(['serve', at('mill.yaml'), '--db', at('a.db'), ...args]);
  expect(serve('--knx', '127.0.0.1').stderr).toBe(
    '--knx needs --knx-addresses, and the other way round: docs/integrators.md says how.\n',
  );
  expect(serve('--knx', '::1', '--knx-addresses', at('knx.csv')).stderr).toContain(
    '--knx takes an IPv4 address or a name, such as 192.168.1.20 or 192.168.1.20:3671.',
  );
});
