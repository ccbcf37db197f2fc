// What `serve` makes of its options for other systems.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, it, vi } from 'vitest';
import { splitDoors } from '../../../host/cli/doorOptions';

const ends: (() => void)[] = [];
afterEach(() => {
  for (const end of ends.splice(0)) end();
});

it('serves without KNX, and says why, while the table of group addresses cannot be used', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-doors-'));
  ends.push(() => rmSync(folder, { recursive: true, force: true }));
  let said = '';
  const line = vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    said += text;
    return true;
  });
  ends.push(() => line.mockRestore());
  const file = join(folder, 'knx.csv');
  const knx = { host: '127.0.0.1', port: 3671 };
  const doors = async () =>
    (await splitDoors({ knx, knxAddresses: file, modbus: { port: 502 }, sparkplugGroup: 'nightproof' }))
      .doors;
  const start = 'The KNX bus is told nothing until the host starts with a table that can be used.';
  expect(await doors()).toEqual({ modbus: { port: 502 } });
  expect(said).toBe(
    `${start} --knx-addresses ${file}: there is no such file; write it with \`nightproof knx-addresses\`.\n`,
  );
  const head = 'address,building,what,id,point\n';
  writeFileSync(file, `${head}5/1,mill,circuit,one,fault\n`);
  said = '';
  expect(await doors()).toEqual({ modbus: { port: 502 } });
  expect(said).toContain(`${start} ${file}, line 2: "5/1" is no group address`);
  writeFileSync(file, `${head}5/0/1,mill,circuit,one,fault\n`);
  said = '';
  expect((await doors()).knx).toMatchObject({ ...knx, rows: [{ address: 0x2801, id: 'one' }] });
  expect(said).toBe('');
});
