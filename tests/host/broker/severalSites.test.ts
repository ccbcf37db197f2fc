// One broker for several sites: what the clients of one must not take from those of another.
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type Broker, openBroker } from '../../../host/broker/broker';
import { loginOf } from '../../../host/broker/logins';
import { seededKeys } from '../../../host/keys';
import { RawClient, type RawLogin } from '../../support/rawMqtt';

const KEYS = { east: seededKeys(1), west: seededKeys(2) };
type Site = keyof typeof KEYS;

let broker: Broker;
let leaveWest: () => void;
const problems: string[] = [];
const clients: RawClient[] = [];

beforeEach(async () => {
  problems.length = 0;
  const limits = { refusalMs: 1, readers: 2 };
  broker = await openBroker({ port: 0, limits, onProblem: (sentence) => problems.push(sentence) });
  const admit = (site: Site) => broker.admit({ site, controllers: ['one'], keys: KEYS[site], isOpen: true });
  admit('east');
  leaveWest = admit('west');
});
afterEach(async () => {
  for (const client of clients.splice(0)) client.close();
  await broker.close();
});

async function enter(who: RawLogin): Promise<[number, RawClient]> {
  const client = await RawClient.open(broker);
  clients.push(client);
  return [await client.logIn(who), client];
}

const reader = (site: Site, name: string): RawLogin => ({
  clientId: name,
  ...loginOf(KEYS[site], `reader-${name}`),
});

it('readers of one building take no seats from those of another', async () => {
  for (const site of ['east', 'west'] as const)
    for (const name of ['hall', 'desk']) expect((await enter(reader(site, `${name}-${site}`)))[0]).toBe(0);
  expect((await enter(reader('west', 'gate')))[0]).toBe(3);
});

it('displays with the same name in two buildings do not throw each other out', async () => {
  const [, east] = await enter(reader('east', 'display'));
  const [code, west] = await enter(reader('west', 'display'));
  expect(code).toBe(0);
  // The same one again takes the place of its own only.
  expect((await enter(reader('west', 'display')))[0]).toBe(0);
  await expect.poll(() => west.isClosed).toBe(true);
  expect(east.isClosed).toBe(false);
});

it('a controller of a building that is not served is refused, and is no guest', async () => {
  expect((await enter({ clientId: 'west.one' }))[0]).toBe(0);
  leaveWest();
  expect((await enter({ clientId: 'west.one' }))[0]).toBe(5);
  expect(problems.join()).toContain('the building of west.one is not served');
  expect((await enter({ clientId: 'laptop' }))[0]).toBe(0);
});
