// The registers of several buildings at one port, as another project's client reads them.
import ModbusRTU from 'modbus-serial';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { BUILDING, CIRCUIT } from '../../../../host/integrators/modbus/map';
import { newUnits } from '../../../../host/integrators/modbus/units';
import { freePort } from '../../../support/brokers';
import { SeveralBench } from '../severalBench';

let bench: SeveralBench;
let client: ModbusRTU;
let port: number;

beforeEach(async () => {
  bench = new SeveralBench();
  port = await freePort();
});
afterEach(() => bench.end());

async function start(): Promise<void> {
  await bench.start(['east', 'west'], { modbus: { port } });
  client = new ModbusRTU();
  client.setTimeout(5000);
  await client.connectTCP('127.0.0.1', { port });
  bench.ends.push(() => client.close(() => {}));
}

async function words(unit: number, from: number, count: number): Promise<number[]> {
  client.setID(unit);
  return (await client.readInputRegisters(from, count)).data;
}

/** 1 for a controller that reports, 0 while nothing is known of it. */
const contact = async (unit: number): Promise<number> => (await words(unit, CIRCUIT.at, 1))[0];

it('has a unit for each building, which tells of that building only', async () => {
  bench.site('east');
  bench.site('west');
  await start();
  expect([await contact(1), await contact(2)]).toEqual([0, 0]);
  await bench.report('west');
  await expect.poll(() => contact(2)).toBe(1);
  expect(await contact(1)).toBe(0);
  await bench.report('east');
  await expect.poll(() => contact(1)).toBe(1);
});

it('answers for a building that is not served that its gateway hears nothing, until it is served', async () => {
  bench.site('east');
  bench.site('west', 'id: west\n');
  await start();
  await expect(words(2, BUILDING.at, 1)).rejects.toMatchObject({ modbusCode: 11 });
  expect(await words(1, BUILDING.at, 1)).toEqual([1]);
  bench.site('west');
  await expect.poll(() => words(2, BUILDING.at, 1).catch(() => [])).toEqual([1]);
  // And again once it is served no more, while the other goes on.
  await bench.host?.slots[1].stop();
  await expect(words(2, BUILDING.at, 1)).rejects.toMatchObject({ modbusCode: 11 });
  expect(await words(1, BUILDING.at, 1)).toEqual([1]);
});

it('has no unit beside those of the buildings, least of all one for clients that name none', async () => {
  bench.site('east');
  bench.site('west');
  await start();
  for (const unit of [0, 3, 255])
    await expect(words(unit, BUILDING.at, 1), String(unit)).rejects.toMatchObject({ modbusCode: 10 });
  await expect(words(2, 999, 2)).rejects.toMatchObject({ modbusCode: 2 });
});

it('refuses more buildings than there are units in one sentence', () => {
  expect(() => newUnits(248)).toThrow(
    'Modbus has 247 units, and these are 248 buildings; leave out --modbus.',
  );
});
